"""The demo's stock: booked by the verbs, proved by the check, there once though loaded twice."""

import pytest

from inventory.parts.models import Part
from inventory.stock.checking import problems
from inventory.stock.demo import stock_up
from inventory.stock.errors import StockError
from inventory.stock.models import StockLevel, StockMovement
from inventory.stock.selectors import parts_for_list, short
from tests.factories.people import UserFactory

pytestmark = pytest.mark.django_db


def test_the_demo_is_stocked_once(catalogue):
    by = UserFactory.create()
    parts = stock_up(by)
    movements = StockMovement.objects.count()
    assert stock_up(by) == parts == StockLevel.objects.count()
    assert StockMovement.objects.count() == movements
    assert list(problems()) == []
    assert 0 < short(parts_for_list()).count() < parts
    assert Part.objects.exclude(place="").values("place").distinct().count() > 5


def test_a_part_that_the_catalogue_does_not_have_is_named():
    with pytest.raises(StockError, match="brake-blocks"):
        stock_up(UserFactory.create())
