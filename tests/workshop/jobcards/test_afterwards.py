"""Readings after the repair: judged by the walk's rules; torques in both units, by Pint."""

from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.factories import jobcards as made
from tests.factories.inspections import (
    JudgementRuleFactory,
    MeasureFactory,
    ReadingFactory,
)
from workshop.core.judgement import Judgement
from workshop.core.units import shown_in
from workshop.jobcards.afterwards import in_inches, judge_torque, measures_of, torque_words
from workshop.jobcards.errors import TaskStandsError
from workshop.jobcards.models import AfterReading
from workshop.jobcards.verbs.read import MakerFigure, ReadingRefusedError, note_readings
from workshop.jobcards.verbs.take_answer import take_answer

UNITS: pint.UnitRegistry = pint.UnitRegistry()
LOW, HIGH = Decimal(5), Decimal(8)
NM = st.decimals(Decimal("0.1"), Decimal(200), places=1)


@given(NM)
def test_torques_are_turned_into_pound_force_inches_as_pint_does(value):
    other = UNITS.Quantity(float(value), "newton * meter").to("pound_force * inch").magnitude
    assert float(shown_in(value, "N·m", "lbf·in")) == pytest.approx(other, rel=1e-9)
    assert abs(float(in_inches(value)) - other) <= 0.5 + 1e-6


@pytest.mark.parametrize(
    ("value", "judgement", "word"),
    [
        ("4.9", Judgement.NEEDS_WORK, "too loose"),
        ("5.0", Judgement.SOUND, "as it should be"),
        ("8.0", Judgement.SOUND, "as it should be"),
        ("8.1", Judgement.NEEDS_WORK, "too tight"),
    ],
)
def test_a_torque_is_held_to_its_figure_ends_included(value, judgement, word):
    said = judge_torque(Decimal(value), LOW, HIGH)
    assert said.judgement is judgement
    assert said.words == f"{word}: 5–8 N·m (44–71 lbf·in)"


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (None, None, ""),
        (LOW, None, "from 5 N·m (44 lbf·in)"),
        (None, HIGH, "up to 8 N·m (71 lbf·in)"),
        (LOW, LOW, "5 N·m (44 lbf·in)"),
    ],
)
def test_a_figure_is_written_in_both_units(low, high, words):
    assert torque_words(low, high) == words


def test_a_torque_without_a_figure_is_kept_and_not_judged():
    assert judge_torque(LOW, None, None).judgement is None


# the verb


@pytest.fixture
def measured(db):
    """A card for a hub whose play is measured: above 0.3 mm it is unsafe, else sound."""
    inspection = made.inspected_bike()
    finding = made.found(inspection, "hub-play")
    point = finding.check_made.checkpoint
    play = MeasureFactory.create(code="play", checkpoint=point)
    rule = {"measure": play, "fault": finding.fault}
    JudgementRuleFactory.create(**rule, at_least=Decimal("0.3"), judgement="unsafe")
    JudgementRuleFactory.create(**rule, below=Decimal("0.3"), judgement="sound")
    ReadingFactory.create(check_made=finding.check_made, measure=play, value=Decimal("1.2"))
    made.operation("hub", torque_low_nm=Decimal(17), torque_high_nm=Decimal(25))
    work = made.asked("hub", findings={"hub": finding})
    return made.a_card(work, inspection=inspection)


def hub(card):
    return made.task_of(card, "hub")


def test_what_may_be_read_are_the_measures_of_the_places_worked_on(measured):
    assert [each.code for each in measures_of(hub(measured))] == ["play"]


def test_a_reading_after_is_judged_by_the_rules_of_the_walk(measured, ada):
    (bad,) = note_readings(hub(measured), by=ada, key="r1", values={"play": Decimal("0.4")})
    assert (bad.judgement, bad.words, bad.unit) == ("unsafe", "Hub play", "mm")
    assert bad.is_unsafe
    (good,) = note_readings(hub(measured), by=ada, key="r2", values={"play": Decimal("0.05")})
    assert (good.judgement, good.is_unsafe) == ("sound", False)
    assert good.rule is not None


def test_a_reading_that_another_is_taken_off_comes_from_before_the_repair(measured, ada):
    point = measures_of(hub(measured))[0].checkpoint
    new = MeasureFactory.create(code="depth-new", checkpoint=point)
    worn = MeasureFactory.create(code="depth", checkpoint=point)
    fault = point.faults.get()
    JudgementRuleFactory.create(
        measure=worn, minus=new, fault=fault, below=Decimal(0), judgement="needs_work"
    )
    check = measured.inspection.checks.get(checkpoint=point)
    ReadingFactory.create(check_made=check, measure=new, value=Decimal(3))
    (kept,) = note_readings(hub(measured), by=ada, key="r1", values={"depth": Decimal(2)})
    assert kept.judgement == "needs_work"


def test_the_makers_figure_goes_before_ours_and_stays(measured, ada):
    maker = MakerFigure(Decimal(30), Decimal(40), "cast on the nut")
    (reached,) = note_readings(hub(measured), by=ada, key="r1", torque=Decimal(35), maker=maker)
    assert reached.judgement == "sound"
    (later,) = note_readings(hub(measured), by=ada, key="r2", torque=Decimal(20))
    assert later.words.startswith("too loose: 30–40 N·m")
    assert hub(measured).ours == (17, 25)


@pytest.mark.parametrize(
    ("maker", "field"),
    [
        (MakerFigure(None, None, "there"), "maker_low"),
        (MakerFigure(Decimal(9), Decimal(8), "there"), "maker_high"),
        (MakerFigure(Decimal(8), None, " "), "maker_source"),
    ],
)
def test_an_odd_figure_of_the_maker_is_refused_whole(measured, ada, maker, field):
    with pytest.raises(ReadingRefusedError) as refusal:
        note_readings(hub(measured), by=ada, key="r1", torque=Decimal(9), maker=maker)
    assert refusal.value.field == field
    assert not AfterReading.objects.exists()
    assert hub(measured).maker_source == ""


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({}, "no reading"),
        ({"rim": Decimal(1)}, "not read after"),
        ({"play": Decimal(99)}, "Measure"),
    ],
)
def test_no_reading_a_strange_one_and_one_that_cannot_be_are_refused(measured, ada, values, words):
    with pytest.raises(ReadingRefusedError, match=words):
        note_readings(hub(measured), by=ada, key="r1", values=values)


def test_sent_twice_a_reading_is_kept_once(measured, ada):
    for _ in range(2):
        note_readings(hub(measured), by=ada, key="r1", torque=Decimal(20))
    assert AfterReading.objects.count() == 1


def test_nothing_is_read_after_work_that_is_no_longer_wanted(measured, ada):
    made.operation("bell")
    take_answer(measured, made.asked("bell", revision=2), by=ada)
    with pytest.raises(TaskStandsError):
        note_readings(hub(measured), by=ada, key="r1", torque=Decimal(20))
