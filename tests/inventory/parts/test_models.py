"""Parts: their article numbers, mark-up and facts of fit."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from inventory.core.fitting import Facts
from inventory.parts.models import FitFacts, Part, normal_gtin
from tests.factories.parts import PartFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("6291041500213", "6291041500213"),  # GS1's own example of a check digit
        ("7300011000017", "7300011000017"),
        ("629-1041 500213", "6291041500213"),
        ("036000291452", "0036000291452"),
    ],
)
def test_an_article_number_is_kept_as_its_figures(typed, kept):
    part = PartFactory.build(code="hub", gtin=typed)
    part.full_clean()
    assert part.gtin == kept


@pytest.mark.parametrize("typed", ["6291041500214", "12345", "abc"])
def test_a_wrong_check_digit_is_refused_with_what_to_do(typed):
    with pytest.raises(ValidationError, match="check digit or length is wrong"):
        normal_gtin(typed)


def test_two_parts_share_no_article_number_but_many_have_none():
    PartFactory.create(gtin="6291041500213")
    PartFactory.create_batch(2)
    with pytest.raises(ValidationError, match="article number already"):
        PartFactory.build(code="other", gtin="6291041500213").full_clean()


def test_a_rim_diameter_that_nothing_is_made_for_is_refused():
    with pytest.raises(ValidationError, match="no rim diameter"):
        FitFacts(part=PartFactory.create(), bead_seat_mm=400).full_clean()


def test_facts_are_compared_and_shown_in_words():
    fit = FitFacts(part=Part(), bead_seat_mm=406, section_mm=37, post_mm=Decimal("33.90"))
    assert fit.facts() == Facts(bead_seat_mm=406, section_mm=37, post_mm=Decimal("33.90"))
    assert fit.told == [
        ("rim diameter, mm", 406),
        ("tyre width, mm", 37),
        ("seat-post diameter, mm", "33.9"),
    ]
