"""What the rules make of readings and faults, and what may be kept."""

from decimal import Decimal

import pytest

from tests.factories.inspections import (
    CheckpointFactory,
    FaultFactory,
    JudgementRuleFactory,
    MeasureFactory,
)
from workshop.core.judgement import Judgement
from workshop.core.wear import BikeFacts
from workshop.inspections.judging import Entry, EntryError, FaultInput, Judge
from workshop.inspections.models import Outcome
from workshop.inspections.selectors import checkpoint_to_judge

pytestmark = pytest.mark.django_db

SOUND, FINDINGS, NOT_TESTED = Outcome.SOUND, Outcome.FINDINGS, Outcome.NOT_TESTED


def facts(age=10, use="everyday"):
    return BikeFacts(
        age_years=age, use=use, frame="folding", brakes=frozenset({"rim"}), gears="hub"
    )


@pytest.fixture
def judge(hinge):
    return Judge(checkpoint_to_judge(hinge.code), facts())


def play(value):
    return {"hinge-play": Decimal(value)}


@pytest.mark.parametrize(
    ("age", "value", "judgement"),
    [
        (1, "0", Judgement.SOUND),
        (4, "0.05", Judgement.NEEDS_WORK),
        (4, "0.1", Judgement.NEEDS_WORK),
        (5, "0.1", Judgement.WATCH),
        (10, "0.1", Judgement.WATCH),
        (10, "0.29", Judgement.WATCH),
        (10, "0.3", Judgement.UNSAFE),
        (1, "0.3", Judgement.UNSAFE),
        (None, "0.1", Judgement.NEEDS_WORK),
    ],
)
def test_hinge_play_is_judged_by_age_and_the_strictest_where_age_is_unknown(
    hinge, age, value, judgement
):
    judge = Judge(checkpoint_to_judge(hinge.code), facts(age))
    assert [each.judgement for each in judge.readings(play(value))] == [judgement]


def test_a_rule_may_hold_for_hard_use_only(hinge):
    stiff = hinge.faults.get(code="hinge-stiff")
    JudgementRuleFactory(fault=stiff, uses=["hard"], judgement="needs_work")
    point = checkpoint_to_judge(hinge.code)
    assert Judge(point, facts(use="light")).fault(stiff).judgement is Judgement.WATCH
    assert Judge(point, facts(use="hard")).fault(stiff).judgement is Judgement.NEEDS_WORK


def test_a_superseded_rule_judges_no_more(hinge):
    from django.utils import timezone

    hinge.rules.filter(key="play-much").update(superseded_at=timezone.now())
    judge = Judge(checkpoint_to_judge(hinge.code), facts())
    assert [each.judgement for each in judge.readings(play("0.4"))] == [None]


def test_a_faulty_reading_gives_the_rules_fault(judge):
    outcome, found = judge.resolve(Entry(FINDINGS, readings=play("0.4")))
    assert outcome is FINDINGS
    assert [each.judged.fault.code for each in found] == ["hinge-loose"]
    assert found[0].judgement is Judgement.UNSAFE
    assert found[0].judged.rule
    assert found[0].judged.rule.key == "play-much"


def test_sound_readings_and_no_fault_come_to_sound_whichever_button_is_pressed(judge):
    for pressed in (SOUND, FINDINGS):
        assert judge.resolve(Entry(pressed, readings=play("0.02"))) == (SOUND, ())


def test_a_fault_that_was_seen_has_its_own_judgement(judge):
    outcome, found = judge.resolve(Entry(FINDINGS, [FaultInput("hinge-crack")]))
    assert outcome is FINDINGS
    assert found[0].judgement is Judgement.UNSAFE
    assert found[0].deal_breaker
    assert found[0].judged.rule is None


def test_several_faults_and_a_reading_come_together_in_order(judge):
    entry = Entry(FINDINGS, [FaultInput("hinge-crack"), FaultInput("hinge-stiff")], play("0.2"))
    _, found = judge.resolve(entry)
    assert [each.judged.fault.code for each in found] == [
        "hinge-loose",
        "hinge-stiff",
        "hinge-crack",
    ]


def test_the_measured_judgement_goes_before_the_faults_default(judge):
    _, found = judge.resolve(Entry(FINDINGS, [FaultInput("hinge-loose")], play("0.1")))
    assert [each.judgement for each in found] == [Judgement.WATCH]


def test_a_worse_rule_about_the_fault_as_seen_goes_before_the_measured_judgement(hinge):
    loose = hinge.faults.get(code="hinge-loose")
    JudgementRuleFactory(fault=loose, key="seen", judgement="unsafe")
    judge = Judge(checkpoint_to_judge(hinge.code), facts())
    _, found = judge.resolve(Entry(FINDINGS, readings=play("0.1")))
    assert found[0].judgement is Judgement.UNSAFE
    assert found[0].judged.rule
    assert found[0].judged.rule.key == "seen"


def test_sound_is_refused_where_a_reading_says_otherwise(judge):
    with pytest.raises(EntryError, match=r"Play 0\.2 mm: “Hinge has play” is judged “watch”"):
        judge.resolve(Entry(SOUND, readings=play("0.2")))


def test_sound_is_refused_where_a_fault_is_chosen(judge):
    with pytest.raises(EntryError, match="Crack at the weld"):
        judge.resolve(Entry(SOUND, [FaultInput("hinge-crack")]))


def test_sound_holds_against_a_reading_for_a_reason(judge):
    otherwise = FaultInput("hinge-loose", Judgement.SOUND, "gauge slipped", observed=False)
    outcome, found = judge.resolve(Entry(SOUND, [otherwise], play("0.2")))
    assert outcome is SOUND
    assert found[0].judgement is Judgement.SOUND
    assert found[0].judged.judgement is Judgement.WATCH
    assert found[0].reason == "gauge slipped"


def test_judging_otherwise_needs_a_reason(judge):
    milder = FaultInput("hinge-crack", Judgement.WATCH, "  ")
    with pytest.raises(EntryError, match="To judge it “watch”, give the reason") as refused:
        judge.resolve(Entry(FINDINGS, [milder]))
    assert refused.value.field == "hinge-crack"


def test_a_reason_without_another_judgement_is_not_dropped_in_silence(judge):
    with pytest.raises(EntryError, match="no other judgement"):
        judge.resolve(Entry(FINDINGS, [FaultInput("hinge-crack", None, "looks old")]))


def test_judged_as_the_rules_say_needs_no_reason(judge):
    _, found = judge.resolve(Entry(FINDINGS, [FaultInput("hinge-crack", Judgement.UNSAFE)]))
    assert found[0].judgement is Judgement.UNSAFE


def test_judged_milder_for_a_reason_it_is_no_deal_breaker_any_more(judge):
    milder = FaultInput("hinge-crack", Judgement.WATCH, "a scratch in the paint")
    _, found = judge.resolve(Entry(FINDINGS, [milder]))
    assert not found[0].deal_breaker


def test_judged_worse_a_fault_that_can_be_a_deal_breaker_is_one(hinge):
    crack = hinge.faults.get(code="hinge-crack")
    JudgementRuleFactory(fault=crack, judgement="watch", deal_breaker=False)
    judge = Judge(checkpoint_to_judge(hinge.code), facts())
    _, found = judge.resolve(Entry(FINDINGS, [FaultInput("hinge-crack")]))
    assert not found[0].deal_breaker
    worse = FaultInput("hinge-crack", Judgement.UNSAFE, "it opens under load")
    _, found = judge.resolve(Entry(FINDINGS, [worse]))
    assert found[0].deal_breaker


def test_a_judgement_for_a_fault_neither_seen_nor_measured_says_nothing(judge):
    left_over = FaultInput("hinge-crack", Judgement.WATCH, "unticked since", observed=False)
    assert judge.resolve(Entry(FINDINGS, [left_over], play("0.01"))) == (SOUND, ())


@pytest.mark.parametrize("value", ["-0.1", "11", "NaN", "Infinity"])
def test_an_impossible_reading_is_refused(judge, value):
    with pytest.raises(EntryError, match="between 0 and 10 mm") as refused:
        judge.resolve(Entry(FINDINGS, readings=play(value)))
    assert refused.value.field == "hinge-play"


def test_a_reading_or_a_fault_of_another_checkpoint_is_refused(judge):
    with pytest.raises(EntryError, match="not measured at"):
        judge.resolve(Entry(FINDINGS, readings={"rim-hollow": Decimal(1)}))
    with pytest.raises(EntryError, match="not a fault of"):
        judge.resolve(Entry(FINDINGS, [FaultInput("chain-worn")]))
    with pytest.raises(EntryError, match="entered twice"):
        judge.resolve(Entry(FINDINGS, [FaultInput("hinge-crack"), FaultInput("hinge-crack")]))


def test_nothing_entered_is_no_finding(judge):
    with pytest.raises(EntryError, match="Nothing is entered yet"):
        judge.resolve(Entry(FINDINGS))


def test_could_not_test_needs_a_reason_and_claims_nothing_else(judge):
    assert judge.resolve(Entry(NOT_TESTED, not_tested_reason="seized")) == (NOT_TESTED, ())
    with pytest.raises(EntryError, match="Say why"):
        judge.resolve(Entry(NOT_TESTED, not_tested_reason=" "))
    for more in ({"readings": play("0.1")}, {"faults": [FaultInput("hinge-crack")]}):
        with pytest.raises(EntryError, match="entered as well"):
            judge.resolve(Entry(NOT_TESTED, not_tested_reason="seized", **more))


def test_a_reason_for_not_testing_is_not_dropped_when_another_button_is_pressed(judge):
    for pressed in (SOUND, FINDINGS):
        with pytest.raises(EntryError, match="clear the reason"):
            judge.resolve(Entry(pressed, not_tested_reason="seized", readings=play("0.01")))


class TestUnjudgedReadings:
    """Readings that no rule judges."""

    @pytest.fixture
    def judge(self):
        point = CheckpointFactory(code="fork")
        MeasureFactory(checkpoint=point, code="rake", name="Rake", plausible_max=Decimal(99))
        FaultFactory(checkpoint=point, code="fork-bent")
        return Judge(checkpoint_to_judge("fork"), facts())

    def test_a_person_must_judge_them(self, judge):
        for pressed in (SOUND, FINDINGS):
            with pytest.raises(EntryError, match="No rule judges Rake 45 mm"):
                judge.resolve(Entry(pressed, readings={"rake": Decimal(45)}))

    def test_by_a_fault(self, judge):
        entry = Entry(FINDINGS, [FaultInput("fork-bent")], {"rake": Decimal(45)})
        assert judge.resolve(entry)[0] is FINDINGS

    def test_or_as_sound_with_a_note(self, judge):
        entry = Entry(SOUND, readings={"rake": Decimal(45)}, note="as the maker says")
        assert judge.resolve(entry) == (SOUND, ())


class TestDifferences:
    """A reading that is judged less another."""

    @pytest.fixture
    def judge(self):
        point = CheckpointFactory(code="rim")
        edge = MeasureFactory(checkpoint=point, code="edge", name="Wall at the edge")
        middle = MeasureFactory(checkpoint=point, code="middle", name="Wall in the middle")
        rule = {"measure": edge, "minus": middle, "checkpoint": point}
        worn = FaultFactory(checkpoint=point, code="rim-worn", name="Rim hollow")
        JudgementRuleFactory(**rule, fault=worn, at_least=Decimal("0.2"), judgement="needs_work")
        JudgementRuleFactory(**rule, fault=None, below=Decimal("0.2"), judgement="sound")
        return Judge(checkpoint_to_judge("rim"), facts())

    def test_the_difference_is_judged(self, judge):
        readings = {"edge": Decimal("1.5"), "middle": Decimal("1.2")}
        _, found = judge.resolve(Entry(FINDINGS, readings=readings))
        assert [each.judged.fault.code for each in found] == ["rim-worn"]

    def test_what_is_only_taken_off_needs_no_judgement_of_its_own(self, judge):
        readings = {"edge": Decimal("1.5"), "middle": Decimal("1.4")}
        assert judge.resolve(Entry(SOUND, readings=readings)) == (SOUND, ())
        assert [each.reference for each in judge.readings(readings)] == [False, True]

    def test_the_other_reading_is_asked_for(self, judge):
        with pytest.raises(EntryError, match="read that as well") as refused:
            judge.resolve(Entry(FINDINGS, readings={"edge": Decimal("1.5")}))
        assert refused.value.field == "middle"


def test_a_fault_out_of_use_can_not_be_chosen_unless_it_was_recorded(hinge):
    hinge.faults.filter(code="hinge-stiff").update(active=False)
    point = checkpoint_to_judge(hinge.code)
    entry = Entry(FINDINGS, [FaultInput("hinge-stiff")])
    with pytest.raises(EntryError, match="not a fault of"):
        Judge(point, facts()).resolve(entry)
    assert Judge(point, facts(), kept=["hinge-stiff"]).resolve(entry)[0] is FINDINGS


def test_a_fault_out_of_use_is_still_found_by_its_rule(hinge):
    hinge.faults.filter(code="hinge-loose").update(active=False)
    judge = Judge(checkpoint_to_judge(hinge.code), facts())
    assert "hinge-loose" in [fault.code for fault in judge.faults]
    _, found = judge.resolve(Entry(FINDINGS, readings=play("0.2")))
    assert [each.judged.fault.code for each in found] == ["hinge-loose"]
