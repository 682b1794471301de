"""Reading labour."""

import datetime as dt
from decimal import Decimal

import pytest

from tests.factories.labour import (
    AccessStepFactory,
    LabourRateFactory,
    OperationFactory,
    RemedyFactory,
    RemedyPartFactory,
    SkillBandFactory,
)
from workshop.labour.selectors import access_steps, core_operation, rates_on, remedies_with_work

pytestmark = pytest.mark.django_db


def test_the_rate_of_a_day_is_the_last_one_that_had_begun():
    LabourRateFactory(valid_from=dt.date(2024, 4, 1), charged_net=Decimal(40))
    LabourRateFactory(valid_from=dt.date(2025, 4, 1), charged_net=Decimal(44))
    assert rates_on(dt.date(2025, 3, 31))["bench"].charged_net == Decimal(40)
    assert rates_on(dt.date(2025, 4, 1))["bench"].charged_net == Decimal(44)


def test_a_band_without_a_rate_on_that_day_is_missing():
    LabourRateFactory(valid_from=dt.date(2025, 4, 1))
    SkillBandFactory(code="wheels")
    assert rates_on(dt.date(2024, 1, 1)) == {}
    assert set(rates_on(dt.date(2026, 1, 1))) == {"bench"}


def test_access_steps_name_what_comes_first():
    wheel = AccessStepFactory(code="rear-wheel-out", minutes=Decimal("4.5"))
    AccessStepFactory(code="cassette-off", needs=[wheel])
    steps = access_steps()
    assert steps["cassette-off"].needs == {"rear-wheel-out"}
    assert steps["rear-wheel-out"].minutes == Decimal("4.5")
    assert steps["rear-wheel-out"].needs == frozenset()


@pytest.mark.parametrize("count", [1, 6])
def test_access_steps_take_the_same_queries_for_any_number(count, django_assert_num_queries):
    for _ in range(count):
        AccessStepFactory(needs=[AccessStepFactory()])
    with django_assert_num_queries(2):
        access_steps()


def test_an_operation_becomes_the_cores():
    step = AccessStepFactory(code="wheel-out")
    old = OperationFactory(code="hub-service")
    row = OperationFactory(code="wheel-renew", access=[step], covers=[old], minutes=Decimal(25))
    operation = core_operation(row)
    assert (operation.code, operation.minutes, operation.band) == ("wheel-renew", 25, "bench")
    assert operation.access == {"wheel-out"}
    assert operation.covers == {"hub-service"}


@pytest.mark.parametrize("count", [1, 5])
def test_remedies_come_with_their_work_in_a_constant_number_of_queries(
    count, django_assert_num_queries
):
    for _ in range(count):
        operation = OperationFactory(access=[AccessStepFactory()], covers=[OperationFactory()])
        RemedyPartFactory(remedy=RemedyFactory(does=[operation]), operation=operation)
    with django_assert_num_queries(5):
        found = [
            (core_operation(step.operation), [part.part.price_net for part in remedy.parts.all()])
            for remedy in remedies_with_work()
            for step in remedy.steps.all()
        ]
    assert len(found) == count
    assert all(operation.access and operation.covers for operation, _ in found)
