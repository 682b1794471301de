"""The catalogue on screen, over every kind that is registered."""

import datetime as dt
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from tests.asking import (
    assert_mechanics_see_costs_once_allowed,
    assert_only_who_may_sees_costs,
    queries_of,
)
from tests.factories.inspections import (
    CheckpointFactory,
    JudgementRuleFactory,
    MeasureFactory,
    RemedyOptionFactory,
)
from tests.factories.jobcards import release_item
from tests.factories.labels import label_size
from tests.factories.labour import (
    AccessStepFactory,
    LabourRateFactory,
    OperationFactory,
    RemedyFactory,
    SkillBandFactory,
)
from tests.factories.parts import PartFactory
from tests.factories.people import sign_in
from tests.factories.shop import VatRateFactory
from workshop.catalogue.registry import all_kinds, kind_named
from workshop.people.models import Role

pytestmark = pytest.mark.django_db

KINDS = {kind.slug: kind for kind in all_kinds()}


def make_leave_rule(n):
    KINDS["leave-rules"].model.objects.create(
        code=f"rule-{n}", words=f"Reason {n}", from_judgement="watch"
    )


MAKE = {
    "skill-bands": lambda n: SkillBandFactory.create(code=f"band-{n}"),
    "labour-rates": lambda n: LabourRateFactory.create(
        band__code=f"band-{n}", valid_from=dt.date(2999, 1, 1)
    ),
    "vat-rates": lambda n: VatRateFactory.create(
        valid_from=dt.date(2999, 1, 1) + dt.timedelta(days=n)
    ),
    "parts": lambda _n: PartFactory.create(),
    "access-steps": lambda n: AccessStepFactory.create(band__code=f"band-{n}"),
    "operations": lambda n: OperationFactory.create(band__code=f"band-{n}"),
    "remedies": lambda _n: RemedyFactory.create(does=[OperationFactory.create()]),
    "checkpoints": lambda _n: CheckpointFactory.create(),
    "measures": lambda _n: MeasureFactory.create(),
    "faults": lambda _n: RemedyOptionFactory.create(),
    "judgement-rules": lambda _n: JudgementRuleFactory.create(
        measure=MeasureFactory.create(), fault=None, judgement="sound", below=5
    ),
    "leave-rules": make_leave_rule,
    "release-items": lambda n: release_item(f"item-{n}"),
    "label-sizes": lambda n: label_size(f"size-{n}"),
}


@pytest.fixture
def manager(client):
    client.person = sign_in(client, manager=True)
    return client


def list_of(slug):
    return reverse("catalogue:list", args=(slug,))


def page_of(slug, record):
    return reverse("catalogue:edit", args=(slug, record.pk))


def one_of(slug):
    MAKE[slug](1)
    return KINDS[slug].rows().first()


def test_every_kind_of_this_layer_is_tried_here():
    here = {slug for slug, kind in KINDS.items() if kind.form.__module__.startswith("workshop.")}
    assert here <= set(MAKE)


def test_the_first_page_explains_every_kind_of_every_layer(manager):
    page = manager.get(reverse("catalogue:index")).content.decode()
    for kind in all_kinds():
        assert manager.get(list_of(kind.slug)).status_code == 200
        assert list_of(kind.slug) in page
        assert kind.many in page
        assert len(kind.how) > 60


@pytest.mark.parametrize("slug", sorted(MAKE))
def test_the_first_page_leads_to_a_list_that_all_may_read(slug):
    MAKE[slug](1)
    for role in Role:
        client = Client()
        sign_in(client, role=role)
        response = client.get(list_of(slug))
        assert response.status_code == 200
        assert len(response.context["table"].rows) == 1
        leads_on = page_of(slug, KINDS[slug].rows().first()) in response.content.decode()
        assert leads_on is (role == Role.MANAGER)


@pytest.mark.parametrize("slug", sorted(MAKE))
def test_a_list_runs_as_many_queries_for_many_as_for_few(manager, slug):
    for n in range(2):
        MAKE[slug](n)
    few = queries_of(manager, list_of(slug))
    for n in range(2, 24):
        MAKE[slug](n)
    assert queries_of(manager, list_of(slug)) == few


@pytest.mark.parametrize("slug", sorted(MAKE))
def test_a_form_runs_as_many_queries_with_much_to_choose_from_as_with_little(manager, slug):
    record = one_of(slug)
    few = queries_of(manager, page_of(slug, record))
    for n in range(2, 14):
        MAKE[slug](n)
    assert queries_of(manager, page_of(slug, record)) == few


@pytest.mark.parametrize("slug", sorted(MAKE))
def test_every_list_can_be_searched_sorted_and_narrowed(manager, slug):
    MAKE[slug](1)
    kind = KINDS[slug]
    assert (
        manager.get(list_of(slug), {"q": "no-such-word"}).context["table"].rows.data.data.count()
        == 0
    )
    for column in kind.columns:
        assert manager.get(list_of(slug), {"sort": f"-{column.name}"}).status_code == 200
    assert [*manager.get(list_of(slug)).context["filter_form"].fields] == ["q", *kind.narrow]


@pytest.mark.parametrize("slug", sorted(MAKE))
def test_an_empty_form_says_what_is_missing_and_saves_nothing(manager, slug):
    response = manager.post(reverse("catalogue:new", args=(slug,)), empty_rows(KINDS[slug]))
    assert response.status_code == 422
    assert response.context["form"].errors
    assert not KINDS[slug].rows().exists()


@pytest.mark.parametrize("slug", sorted(MAKE))
def test_every_record_shows_its_history(manager, slug):
    record = one_of(slug)
    page = manager.get(reverse("catalogue:history", args=(slug, record.pk)))
    assert page.status_code == 200
    assert "ntered" in page.content.decode() or "ersion 1" in page.content.decode()


@pytest.mark.parametrize("slug", sorted(MAKE))
def test_a_form_saved_as_it_stands_changes_nothing(manager, slug):
    record = one_of(slug)
    before = list(KINDS[slug].rows().values())
    data = as_shown(manager.get(page_of(slug, record)))
    response = manager.post(page_of(slug, record), data)
    assert response.status_code == 302, response.context["form"].errors
    assert list(KINDS[slug].rows().values()) == before


def empty_rows(kind):
    """Return what a browser sends of a form's rows when none is filled in."""
    data = {}
    for place in range(len(kind.formsets)):
        data |= {f"rows{place}-TOTAL_FORMS": "0", f"rows{place}-INITIAL_FORMS": "0"}
    return data


def as_shown(response):
    """Return what a browser would send back of a page's form and rows, unchanged."""
    forms = [response.context["form"]]
    for rows in response.context["rows"]:
        forms += [rows.management_form, *rows.forms]
    data = {}
    for form in forms:
        for field in form:
            value = field.value()
            if isinstance(value, list):
                data[field.html_name] = [getattr(each, "pk", each) for each in value]
            elif value is not None and value is not False:
                data[field.html_name] = value
    return data


@pytest.mark.parametrize("url", ["/catalogue/dragons/", "/catalogue/dragons/new/"])
def test_a_kind_that_does_not_exist_is_a_404(manager, url):
    assert manager.get(url).status_code == 404
    assert kind_named("dragons") is None


def test_a_record_that_does_not_exist_is_a_404(manager):
    assert manager.get("/catalogue/parts/999/").status_code == 404


# what things cost the shop


def test_what_a_part_costs_is_shown_to_those_who_may_see_it():
    PartFactory.create(cost_net=Decimal("3.21"), price_net=Decimal("9.87"))
    assert_only_who_may_sees_costs(list_of("parts"), "£3.21", "Cost, net")
    assert_mechanics_see_costs_once_allowed(list_of("parts"), "£3.21")


def test_what_an_hour_costs_is_shown_to_those_who_may_see_it():
    LabourRateFactory.create(cost_net=Decimal("21.43"))
    assert_only_who_may_sees_costs(list_of("labour-rates"), "£21.43", "Cost an hour")
    assert_mechanics_see_costs_once_allowed(list_of("labour-rates"), "£21.43")


@pytest.mark.parametrize("column", ["cost_net", "-cost_net"])
def test_a_hidden_cost_cannot_be_sorted_by(client, column):
    cheap = PartFactory.create(name="A", cost_net=1, price_net=9)
    dear = PartFactory.create(name="B", cost_net=5, price_net=9)
    sign_in(client)
    rows = client.get(list_of("parts"), {"sort": column}).context["table"].rows
    assert [row.record for row in rows] == [cheap, dear]


def test_a_wrong_price_says_what_to_write(manager):
    part = PartFactory.create()
    data = as_shown(manager.get(page_of("parts", part))) | {"price_net": "about ten"}
    response = manager.post(page_of("parts", part), data)
    assert "“about ten” is not a price" in response.content.decode()


def test_costs_of_a_part_rise_from_best_to_worst(manager):
    part = PartFactory.create(cost_net=4)
    data = as_shown(manager.get(page_of("parts", part))) | {
        "cost_low_net": "5",
        "cost_high_net": "3",
    }
    errors = manager.post(page_of("parts", part), data).context["form"].errors
    assert set(errors) == {"cost_net", "cost_high_net"}


def test_a_change_of_price_is_kept_with_who_and_when(manager):
    part = PartFactory.create(price_net=8)
    data = as_shown(manager.get(page_of("parts", part))) | {"price_net": "9,50"}
    manager.post(page_of("parts", part), data)
    page = manager.get(reverse("catalogue:history", args=("parts", part.pk))).content.decode()
    assert "selling price, net: £8.00 → £9.50" in page
    assert f"by {manager.person}" in page


def test_a_fraction_of_a_penny_is_kept(manager):
    part = PartFactory.create(cost_net=1)
    data = as_shown(manager.get(page_of("parts", part))) | {"cost_net": "0,0125"}
    manager.post(page_of("parts", part), data)
    part.refresh_from_db()
    assert part.cost_net == Decimal("0.0125")
