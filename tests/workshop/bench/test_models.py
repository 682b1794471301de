"""The limits that the database holds."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from tests.factories import bench as made
from tests.factories.jobcards import a_card
from tests.factories.people import UserFactory
from workshop.bench.models import (
    Absence,
    BenchPerson,
    BenchSettings,
    GivenPromise,
    SpecialDay,
    WorkingHours,
)

pytestmark = pytest.mark.django_db
DAY, BEFORE = dt.date(2026, 3, 2), dt.date(2026, 3, 1)


def refuses(make):
    with pytest.raises(IntegrityError), transaction.atomic():
        make()


@pytest.mark.parametrize(
    "wrong",
    [{"ends": 540}, {"pause": 480}, {"ends": 1440}, {"weekday": 7}],
)
def test_hours_that_cannot_be(wrong):
    person = BenchPerson.objects.create(user=UserFactory.create())
    fields = {"weekday": 0, "starts": 540, "ends": 1020, "pause": 0} | wrong
    refuses(lambda: WorkingHours.objects.create(person=person, **fields))


def test_a_day_has_one_row_of_hours():
    person = made.at_bench()
    refuses(lambda: WorkingHours.objects.create(person=person, weekday=0, starts=1, ends=2))


def test_a_share_is_a_fraction():
    refuses(lambda: BenchPerson.objects.create(user=UserFactory.create(), bench_share=Decimal(2)))


def test_days_go_forward_and_have_a_reason():
    person = made.at_bench()
    refuses(lambda: Absence.objects.create(person=person, first=DAY, last=BEFORE))
    refuses(lambda: SpecialDay.objects.create(first=DAY, last=BEFORE, reason="closed"))
    refuses(lambda: SpecialDay.objects.create(first=DAY, last=DAY, reason=""))


@pytest.mark.parametrize("wrong", [{"share": Decimal("0.95")}, {"check_minutes": 241}, {"pk": 2}])
def test_settings_are_one_row_within_bounds(wrong):
    refuses(lambda: BenchSettings.objects.create(**({"pk": 1} | wrong)))


def test_a_promise_is_for_a_share_that_can_be_promised():
    card = a_card()
    refuses(
        lambda: GivenPromise.objects.create(
            card=card, promised_on=DAY, share=Decimal("0.99"), by=card.opened_by
        )
    )
