"""A part written in a form: by its code, its article number, or words that only one has."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inventory.parts.models import Part
from inventory.search.choosing import OFFERED, PartField
from tests.factories.labour import OperationFactory, RemedyFactory, RemedyPartFactory
from tests.factories.longstock import long_stock
from tests.factories.parts import PartFactory
from tests.factories.people import sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf():
    PartFactory.create(code="tube-16", name="Inner tube, 16 in", gtin="6291041500213")
    PartFactory.create(code="tube-20", name="Inner tube, 20 in")
    PartFactory.create(code="tube-24", name="Inner tube, 24 in", active=False)


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("tube-16", "tube-16"),
        (" TUBE-16 ", "tube-16"),
        ("6291041500213", "tube-16"),
        ("Inner tube, 20 in (tube-20)", "tube-20"),
        ("tube 20", "tube-20"),
        ("tube-24", "tube-24"),
    ],
)
def test_what_names_one_part_means_it(text, code):
    assert PartField().clean(text).code == code


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("tube", "may be Inner tube, 16 in (tube-16), Inner tube, 20 in (tube-20). Write the code"),
        ("saddle", "No part has the words “saddle”"),
        ("", "Write the name or the code"),
        ("\0", "Write the name or the code"),
    ],
)
def test_anything_else_is_refused_with_what_it_may_be(text, said):
    with pytest.raises(ValidationError) as error:
        PartField().clean(text)
    assert said in error.value.messages[0]


@pytest.mark.usefixtures("shelf")
def test_parts_in_use_are_offered_under_whatever_name_the_field_has(client):
    sign_in(client)
    page = client.get(reverse("stock:offers"), {"rows1-0-part": "tube"}).content.decode()
    assert 'value="Inner tube, 16 in (tube-16)"' in page
    assert "tube-24" not in page
    assert "option" not in client.get(reverse("stock:offers")).content.decode()


def test_a_remedy_s_page_does_not_grow_with_the_parts(client):
    sign_in(client, manager=True)
    step = OperationFactory.create()
    remedy = RemedyFactory.create(does=[step])
    RemedyPartFactory.create(remedy=remedy, operation=step, part=PartFactory.create(code="bush"))
    page = reverse("catalogue:edit", args=("remedies", remedy.pk))
    before = client.get(page).content.decode()
    assert 'value="Bush (bush)"' in before
    long_stock(500)
    assert len(client.get(page).content) < 1.01 * len(before.encode())
    offered = client.get(reverse("stock:offers"), {"part": "batch"}).content.decode()
    assert offered.count("<option") == OFFERED


@pytest.mark.usefixtures("shelf")
def test_a_part_that_is_left_as_it_was_has_not_changed():
    part = Part.objects.get(code="tube-16")
    assert not PartField().has_changed(part, f" {part} ")
    assert PartField().has_changed(part, "tube-20")
    assert not PartField().has_changed(None, "")
