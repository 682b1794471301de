"""Where labels stand on a sheet."""

from dataclasses import replace
from decimal import Decimal

import pytest

from workshop.core.labels import Grid, Place

SHEET = Grid(
    Decimal(210),
    Decimal(297),
    Decimal("63.5"),
    Decimal("38.1"),
    3,
    7,
    Decimal("7.2"),
    Decimal("15.1"),
    Decimal(66),
    Decimal("38.1"),
)


def test_labels_fill_the_sheet_row_by_row_and_go_on_on_the_next():
    places = list(SHEET.places(22))
    assert places[0] == Place(0, Decimal("7.2"), Decimal("15.1"))
    assert places[1] == Place(0, Decimal("73.2"), Decimal("15.1"))
    assert places[3] == Place(0, Decimal("7.2"), Decimal("53.2"))
    assert places[20] == Place(0, Decimal("139.2"), Decimal("243.7"))
    assert places[21] == Place(1, Decimal("7.2"), Decimal("15.1"))


def test_a_sheet_that_is_begun_goes_on_at_its_first_free_label():
    assert next(SHEET.places(1, first=21)) == Place(0, Decimal("139.2"), Decimal("243.7"))
    assert [each.sheet for each in SHEET.places(2, first=21)] == [0, 1]


@pytest.mark.parametrize("first", [0, 22])
def test_a_place_that_the_sheet_does_not_have_is_refused(first):
    with pytest.raises(ValueError, match="1 to 21"):
        list(SHEET.places(1, first=first))


def test_no_two_labels_touch_and_none_leaves_its_sheet():
    assert not SHEET.wrong()
    places = list(SHEET.places(SHEET.on_a_sheet))
    for one in places:
        assert one.left + SHEET.width <= SHEET.sheet_width
        assert one.top + SHEET.height <= SHEET.sheet_height
        for other in places:
            apart = abs(one.left - other.left) >= SHEET.width
            assert one is other or apart or abs(one.top - other.top) >= SHEET.height


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"across": Decimal(60)}, "across"),
        ({"down": Decimal(30)}, "down"),
        ({"columns": 4}, "columns"),
        ({"rows": 8}, "rows"),
        ({"left": Decimal(20)}, "columns"),
    ],
)
def test_what_cannot_be_is_said_at_its_field(change, field):
    assert set(replace(SHEET, **change).wrong()) == {field}
