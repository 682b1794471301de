"""Reorder points taken over as minimums."""

import pytest

from inventory.parts.models import Part
from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.verbs.take_minimum import take_minimum
from tests.factories.parts import PartFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("printed_quickly", "proven_ledger")]


def test_reorder_points_become_minimums_with_their_history(by):
    one, two = PartFactory.create(minimum=3), PartFactory.create(minimum=4)
    assert take_minimum({one.pk: 5, two.pk: 4}, by=by) == 1
    assert [each.minimum for each in Part.objects.order_by("pk")] == [5, 4]
    assert one.history.first().history_change_reason == "reorder point"
    with pytest.raises(PurchaseError, match="lies between"):
        take_minimum({one.pk: -1}, by=by)
