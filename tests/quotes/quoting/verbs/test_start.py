"""Starting a quote: number, copies of the findings, what is proposed, the price."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import transaction

from quotes.quoting.models import Quote, QuotedFinding, Revision
from quotes.quoting.verbs.reprice import CannotPriceError
from quotes.quoting.verbs.start import AlreadyQuotedError, start_quote
from tests.factories import quotes as made
from tests.factories.inspections import (
    CheckFactory,
    CheckpointFactory,
    FindingFactory,
    JudgementRuleFactory,
    MeasureFactory,
    ReadingFactory,
    RemedyOptionFactory,
)
from workshop.bikes.models import Stage
from workshop.inspections.models import Outcome
from workshop.labour.models import LabourRate

pytestmark = pytest.mark.django_db


def test_quotes_are_numbered_and_carry_bike_inspection_and_customer(manager):
    made.priced_shop()
    inspection = made.inspected(made.fault("play", made.remedy("adjust")))
    revision = start_quote(inspection, manager)
    quote = revision.quote
    assert (quote.number, revision.number, revision.state) == ("Q0001", 1, "draft")
    assert (quote.bike, quote.inspection) == (inspection.bike, inspection)
    assert quote.customer == inspection.bike.customer
    assert quote.created_by == manager
    assert revision.history.first().history_user == manager


def test_one_finding_is_priced_with_access_labour_and_part(draft):
    lines = {line.key: line for line in draft.lines.all()}
    assert {key: line.net for key, line in lines.items()} == {
        "access:wheel-out": Decimal("2.40"),  # 3 min at 48.00 an hour
        "labour:hub-adjust-work": Decimal("12.00"),  # 15 min
        "part:hub-adjust-work:hub-cones": Decimal("8.00"),
    }
    assert (draft.net, draft.vat, draft.gross) == (
        Decimal("22.40"),
        Decimal("4.48"),
        Decimal("26.88"),
    )
    assert lines["labour:hub-adjust-work"].cost_net == Decimal("5.25")  # 15 min at 21.00
    assert lines["part:hub-adjust-work:hub-cones"].part.code == "hub-cones"


def test_findings_are_copied_in_walk_order_with_words_note_and_readings(manager):
    made.priced_shop()
    late = made.fault("late", checkpoint=CheckpointFactory.create(order=90, name="Rear hub"))
    early = made.fault("early", checkpoint=CheckpointFactory.create(order=10, name="Front hub"))
    inspection = made.inspected(late)
    check = CheckFactory.create(
        inspection=inspection,
        checkpoint=early.checkpoint,
        outcome=Outcome.FINDINGS,
        note="worse when cold",
    )
    length = MeasureFactory.create(checkpoint=early.checkpoint, name="play", decimals=2)
    other = MeasureFactory.create(checkpoint=early.checkpoint, name="tread")
    ReadingFactory.create(check_made=check, measure=length, value=Decimal("0.4"))
    ReadingFactory.create(check_made=check, measure=other, value=Decimal("3.1"))
    rule = JudgementRuleFactory.create(fault=early, measure=length)
    FindingFactory.create(check_made=check, fault=early, rule=rule)
    first, second = start_quote(inspection, manager).findings.all()
    assert (first.checkpoint_name, second.checkpoint_name) == ("Front hub", "Rear hub")
    assert first.words == early.words
    assert first.note == "worse when cold"
    assert first.readings == "play: 0.40 mm"  # of its own rule, not the tread


def test_importance_comes_from_the_judgement_unless_the_fault_says_otherwise(manager):
    made.priced_shop()
    inspection = made.inspected(
        made.fault("a", made.remedy("ra"), default_judgement="unsafe"),
        made.fault("b", made.remedy("rb"), default_judgement="needs_work"),
        made.fault("c", made.remedy("rc"), default_judgement="watch"),
        made.fault("d", made.remedy("rd"), default_judgement="watch", importance="must"),
        made.fault("e", default_judgement="sound"),
    )
    revision = start_quote(inspection, manager)
    rows = {row.finding.fault.code: row.importance for row in revision.findings.all()}
    assert rows == {"a": "must", "b": "should", "c": "could", "d": "must"}


def test_the_remedy_of_lowest_rank_that_fits_the_judgement_is_proposed(manager):
    made.priced_shop()
    fault = made.fault("play", default_judgement="needs_work")
    for rank, (code, judgement) in enumerate(
        [
            ("renew-all", "unsafe"),
            ("retired", "watch"),
            ("service", "needs_work"),
            ("adjust", "watch"),
        ],
        start=1,
    ):
        remedy = made.remedy(code)
        remedy.active = code != "retired"
        remedy.save()
        RemedyOptionFactory.create(fault=fault, remedy=remedy, rank=rank, from_judgement=judgement)
    row = start_quote(made.inspected(fault), manager).findings.get()
    assert (row.remedy_name, row.remedy_chosen) == ("Service", False)


def test_a_finding_without_remedy_is_kept_to_be_priced_by_hand(manager):
    made.priced_shop()
    revision = start_quote(made.inspected(made.fault("odd-noise")), manager)
    assert revision.findings.get().remedy is None
    assert not revision.lines.exists()


def test_a_deal_breaker_means_that_no_price_is_offered(manager):
    made.priced_shop()
    cracked = made.fault("crack", default_judgement="unsafe", deal_breaker=True)
    revision = start_quote(made.inspected(cracked), manager)
    assert revision.no_price
    assert revision.findings.get().deal_breaker


def test_work_made_needless_by_another_names_what_cures_it(manager):
    made.priced_shop()
    adjust, renew = made.remedy("adjust-hub"), made.remedy("renew-wheel")
    renew.operations.get().covers.set(adjust.operations.all())
    revision = start_quote(
        made.inspected(made.fault("play", adjust), made.fault("buckle", renew)), manager
    )
    assert made.row_of(revision, "play").covered_by == "Renew wheel work"
    assert [line.key for line in revision.lines.all()] == ["labour:renew-wheel-work"]


def test_what_was_not_tested_is_kept_with_its_reason(manager):
    made.priced_shop()
    inspection = made.inspected(made.fault("play", made.remedy("adjust")), finished=False)
    CheckFactory.create(
        inspection=inspection,
        checkpoint=CheckpointFactory.create(name="Pump"),
        outcome=Outcome.NOT_TESTED,
        not_tested_reason="seized",
    )
    CheckpointFactory.create(name="Bell")
    revision = start_quote(inspection, manager)
    assert {"name": "Pump", "reason": "seized"} in revision.not_tested
    assert {"name": "Bell", "reason": "not looked at"} in revision.not_tested


def test_the_bike_of_a_finished_walk_is_then_being_quoted(draft):
    draft.quote.bike.refresh_from_db()
    assert draft.quote.bike.stage == Stage.QUOTED


def test_a_second_quote_from_the_same_inspection_is_refused_with_the_first(draft, manager):
    with pytest.raises(AlreadyQuotedError, match="Q0001 was made from this inspection") as caught:
        start_quote(draft.quote.inspection, manager)
    assert caught.value.revision == draft
    assert Quote.objects.count() == 1


def test_without_a_labour_rate_nothing_is_saved_and_the_rate_is_named(manager):
    made.priced_shop()
    LabourRate.objects.all().update(valid_from=dt.date(2999, 1, 1))
    inspection = made.inspected(made.fault("play", made.remedy("adjust")))
    with pytest.raises(CannotPriceError, match="No labour rate"), transaction.atomic():
        start_quote(inspection, manager)
    assert not Quote.objects.exists()
    assert not Revision.objects.exists()
    assert not QuotedFinding.objects.exists()
