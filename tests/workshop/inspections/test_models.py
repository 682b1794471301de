"""What the database itself refuses, and how rows speak."""

from decimal import Decimal

import pytest
from django.db import IntegrityError
from django.utils import timezone

from tests.factories.inspections import (
    CheckFactory,
    CheckpointFactory,
    FaultFactory,
    FindingFactory,
    InspectionFactory,
    JudgementRuleFactory,
    MeasureFactory,
    ReadingFactory,
    RemedyOptionFactory,
)
from workshop.inspections.models import Outcome

pytestmark = pytest.mark.django_db


def refused(constraint, act):
    """See that the act breaks that constraint; SQLite names columns of unique ones instead."""
    with pytest.raises(IntegrityError, match=constraint):
        act()


def test_one_inspection_a_bike_is_open(inspection):
    refused(r"one_open_inspection_a_bike|bike_id", lambda: InspectionFactory(bike=inspection.bike))


def test_a_finished_inspection_has_a_name(inspection):
    inspection.finished_at = timezone.now()
    refused("finished_inspection_has_a_name", inspection.save)


def test_a_checkpoint_is_checked_once(inspection, hinge):
    CheckFactory(inspection=inspection, checkpoint=hinge)
    refused(
        "one_check_a_checkpoint|checkpoint_id",
        lambda: CheckFactory(inspection=inspection, checkpoint=hinge),
    )


def test_not_tested_has_a_reason():
    refused("not_tested_has_a_reason", lambda: CheckFactory(outcome=Outcome.NOT_TESTED))


def test_an_override_has_a_reason():
    refused(
        "override_has_a_reason",
        lambda: FindingFactory(judgement="watch", rule_judgement="unsafe"),
    )


def test_a_fault_is_found_once_a_check():
    finding = FindingFactory()
    refused(
        "one_finding_a_fault|fault_id",
        lambda: FindingFactory(check_made=finding.check_made, fault=finding.fault),
    )


def test_a_measure_is_read_once_a_check():
    reading = ReadingFactory()
    refused(
        "one_reading_a_measure|measure_id",
        lambda: ReadingFactory(check_made=reading.check_made, measure=reading.measure),
    )


def test_a_rule_that_finds_something_names_the_fault():
    measure = MeasureFactory()
    refused(
        "rule_that_finds_names_fault",
        lambda: JudgementRuleFactory(
            measure=measure, checkpoint=measure.checkpoint, fault=None, judgement="watch"
        ),
    )


def test_a_rule_is_about_a_reading_or_a_fault():
    point = CheckpointFactory()
    refused(
        "rule_has_measure_or_fault",
        lambda: JudgementRuleFactory(checkpoint=point, fault=None, judgement="sound"),
    )


def test_a_rules_range_is_in_order():
    refused(
        "rule_range_in_order",
        lambda: JudgementRuleFactory(at_least=Decimal(2), below=Decimal(1)),
    )


def test_one_version_of_a_rule_is_in_force():
    rule = JudgementRuleFactory()
    refused(
        r"one_rule_in_force_a_key|judgementrule\.key",
        lambda: JudgementRuleFactory(key=rule.key, version=2, fault=rule.fault),
    )


def test_a_plausible_range_is_in_order():
    refused("measure_range_in_order", lambda: MeasureFactory(plausible_min=60))


def test_rows_speak_plainly(inspection, hinge):
    check = CheckFactory(inspection=inspection, checkpoint=hinge)
    measure = hinge.measures.get()
    assert str(hinge) == "Main frame hinge"
    assert str(measure) == "Play (mm)"
    assert str(check) == "Main frame hinge: sound"
    assert str(ReadingFactory(check_made=check, measure=measure, value=Decimal("1.50"))) == "1.5 mm"
    assert str(FindingFactory(check_made=check, fault=hinge.faults.first())) == (
        "Main frame hinge: Hinge has play"
    )
    assert str(JudgementRuleFactory(key="it", version=2)) == "it v2"
    assert str(RemedyOptionFactory(remedy__name="Renew the pin")) == "Renew the pin"
    assert str(FaultFactory(name="Bent")) == "Bent"
    assert str(inspection).startswith(f"inspection of {inspection.bike} on ")
