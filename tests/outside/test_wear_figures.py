"""Published figures of wear, from the text a person types to the judgement of the stored rules."""

from decimal import Decimal

import pytest

from workshop.catalogue.loading import load_catalogue
from workshop.core.judgement import Judgement
from workshop.core.readings import parse_reading
from workshop.core.wear import BikeFacts, chain_elongation, judge_check
from workshop.inspections.models import JudgementRule, Measure
from workshop.inspections.rules import core_rule

SOUND, WATCH, NEEDS_WORK, UNSAFE = Judgement
BIKE = BikeFacts(
    age_years=6, use="everyday", frame="diamond", brakes=frozenset({"disc"}), gears="derailleur"
)


def millimetres(text):
    return parse_reading(
        text, "mm", plausible_min=Decimal(1), plausible_max=Decimal(700), decimals=6
    )


# length, pitches, printed per cent, decimals printed, source
ELONGATIONS = [
    ("304.8 mm", 24, "0", 1, "ISO 9633: pitch of cycle chains is 12.7 mm (1/2 in)"),
    ("12 in", 24, "0.00", 2, "fagan.co.za, Measuring chain stretch: 12 link-pairs are 304.8 mm"),
    ("254 mm", 20, "0", 1, "roadragecycling.com 2015, Change the chain: 21 pins are 254 mm"),
    ("255 mm", 20, "0.394", 3, "roadragecycling.com 2015, Change the chain: 21 pins at 255 mm"),
    ("12 2/20 in", 24, "0.83", 2, "mrbill.homeip.net, Old vs new chain: 2/20 in over 12 in"),
    ("12 1/16 in", 24, "0.521", 3, "arithmetic on Sheldon Brown, Chain and Sprocket Wear"),
    ("12 1/8 in", 24, "1.042", 3, "arithmetic on Sheldon Brown, Chain and Sprocket Wear"),
    # The page prints 1.13 per cent, cut short; the figure here is its own arithmetic, rounded.
    ("11 1/8 in", 22, "1.136", 3, "moruyabicycles.com.au, chain wear: 1/8 in over 11 in"),
]


@pytest.mark.parametrize(("length", "pitches", "printed", "decimals", "source"), ELONGATIONS)
def test_a_chain_is_as_long_as_the_source_says(length, pitches, printed, decimals, source):
    per_cent = chain_elongation(millimetres(length), pitches)
    assert round(per_cent, decimals) == Decimal(printed), source


# length, from, to, source: figures printed as about so much
ABOUT = [
    ("12 1/16 in", "0.5", "0.55", "bikeforums.net 20704395: a little over .5 %, or 1/16 in"),
    ("306.3 mm", "0.45", "0.55", "fagan.co.za: +0.5 % is 1.5 mm over 12 link-pairs"),
    ("307.8 mm", "0.95", "1.05", "fagan.co.za: +1.0 % is 3.0 mm over 12 link-pairs"),
]


@pytest.mark.parametrize(("length", "least", "most", "source"), ABOUT)
def test_a_chain_is_about_as_long_as_the_source_says(length, least, most, source):
    assert Decimal(least) <= chain_elongation(millimetres(length)) <= Decimal(most), source


def judge(**typed):
    """Read what was typed as the stored measure asks for it, and judge it by the stored rules."""
    load_catalogue()
    readings = {}
    for code, text in typed.items():
        measure = Measure.objects.get(code=code.replace("_", "-"))
        readings[measure.code] = parse_reading(
            text,
            measure.unit,
            plausible_min=measure.plausible_min,
            plausible_max=measure.plausible_max,
            decimals=measure.decimals,
        )
    rows = JudgementRule.objects.filter(superseded_at=None)
    rules = [core_rule(row) for row in rows.select_related("measure", "minus", "fault")]
    return judge_check(readings, rules, BIKE)[0]


PUSHBIKES = "pushbikes.org.uk, Measuring chain wear; madegood.com, Bike chain wear"

CHAINS = [
    ("12 in", SOUND, None, PUSHBIKES),
    ("12 3/64 in", SOUND, None, PUSHBIKES),
    ("12 1/16 in", NEEDS_WORK, "chain-worn", PUSHBIKES),
    ("12 3/32 in", NEEDS_WORK, "chain-worn", PUSHBIKES),
    ("12 2/20 in", NEEDS_WORK, "chain-worn", "mrbill.homeip.net: renew before 1 %"),
    ("12 1/8 in", NEEDS_WORK, "chain-worn-with-sprockets", PUSHBIKES),
    ("12 3/16 in", NEEDS_WORK, "chain-worn-with-sprockets", PUSHBIKES),
]


@pytest.mark.django_db
@pytest.mark.parametrize(("typed", "judgement", "fault", "source"), CHAINS)
def test_a_chain_is_judged_off_an_inch_rule_as_the_source_does(typed, judgement, fault, source):
    found = judge(chain_length=typed)
    assert (found.judgement, found.fault) == (judgement, fault), source


FEEDBACK = "feedbacksports.com, Disc brake rotor wear: what is etched on the rotor governs"

ROTORS = [
    ("1.68 mm", "1.5 mm", True, "emtbforums.com 39079: new 1.96, least 1.5"),
    ("1.35 mm", "1.5 mm", False, "emtbforums.com 39079: 0.15 past"),
    ("1.5 mm", "1.5 mm", True, "sumlon.com, When to replace a rotor: stop below 1.5 mm"),
    ("1.49 mm", "1.5 mm", False, FEEDBACK),
    ("1.53 mm", "1.52 mm", True, FEEDBACK),
    ("1.53 mm", "1.55 mm", False, FEEDBACK),
]


@pytest.mark.django_db
@pytest.mark.parametrize(("thickness", "etched", "passes", "source"), ROTORS)
def test_a_rotor_is_judged_by_what_is_etched_on_it(thickness, etched, passes, source):
    found = judge(front_rotor_thickness=thickness, front_rotor_minimum=etched)
    assert (found.judgement is not UNSAFE) is passes, source


PADS = [
    ("0.5 mm", False, "whafi.com, Changing brake pads: renew with 0.5 mm or less of compound"),
    ("0.4 mm", False, "whafi.com, Changing brake pads: renew with 0.5 mm or less of compound"),
    ("2 mm", True, "whafi.com, Changing brake pads: not before 0.5 mm of compound"),
]


@pytest.mark.django_db
@pytest.mark.parametrize(("compound", "stays", "source"), PADS)
def test_a_disc_pad_is_renewed_at_the_published_limit(compound, stays, source):
    found = judge(front_pad=compound)
    assert (found.judgement in {SOUND, WATCH}) is stays, source
