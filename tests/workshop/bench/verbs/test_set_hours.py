"""Setting a person's week."""

from decimal import Decimal

import pytest

from tests.factories.people import UserFactory
from workshop.bench.errors import BenchError
from workshop.bench.models import WorkingHours
from workshop.bench.verbs.set_hours import Hours, set_hours

pytestmark = pytest.mark.django_db
NINE, FIVE = 540, 1020
SHARE = Decimal("0.7")


def test_the_week_is_exactly_what_was_set():
    user = UserFactory.create()
    set_hours(user, [Hours(0, NINE, FIVE, 30), Hours(1, NINE, FIVE)], bench_share=SHARE)
    person = set_hours(user, [Hours(1, NINE, 900), Hours(4, NINE, FIVE)], bench_share=SHARE)
    rows = person.hours.order_by("weekday").values_list("weekday", "starts", "ends", "pause")
    assert list(rows) == [(1, 540, 900, 0), (4, 540, 1020, 0)]


def test_an_unchanged_day_leaves_no_trace_in_the_history():
    user = UserFactory.create()
    set_hours(user, [Hours(0, NINE, FIVE)], bench_share=SHARE)
    set_hours(user, [Hours(0, NINE, FIVE)], bench_share=SHARE)
    assert WorkingHours.history.count() == 1


def test_hours_that_end_before_they_start_change_nothing():
    user = UserFactory.create()
    set_hours(user, [Hours(0, NINE, FIVE)], bench_share=SHARE)
    with pytest.raises(BenchError, match="Tuesday"):
        set_hours(user, [Hours(1, NINE, 600, 60)], bench_share=Decimal("0.1"))
    assert user.at_bench.bench_share == SHARE
    assert user.at_bench.hours.get().weekday == 0
