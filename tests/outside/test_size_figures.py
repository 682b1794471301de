"""Published tables of tyre and rim sizes."""

import pytest

from inventory.core.compatibility import (
    ISO_SEATS_MM,
    SizeError,
    bead_seat,
    fits,
    on_chart,
    parse_rim,
    parse_tyre,
)
from inventory.core.fitting import Answer, Facts, does_it_fit

MICHELIN = "michelinbicycle.com, The skinny (and fat) on tire sizes: E.T.R.T.O. beside inches"
MORUYA = "moruyabicycles.com.au, Understanding tyre sizes"
DUTCH = "fietssite.jouwweb.nl, English tyres"

# designation, as called, source
SAME = [
    ("44-406", "20 × 1.75", MICHELIN),
    ("44-507", "24 × 1.75", MICHELIN),
    ("44-559", "26 × 1.75", MICHELIN),
    ("35-590", "26 × 1 3/8", MICHELIN),
    ("35-590", "650 × 35A", MICHELIN),
    ("23-571", "650 × 23C", MICHELIN),
    ("28-622", "700 × 28C", MICHELIN),
    ("23-622", "700C", MORUYA),
    ("47-355", "18 × 1.75", MORUYA),
    ("28-451", "20 × 1 1/8", MORUYA),
    ("37-584", "650B", MORUYA),
    ("32-630", "27 × 1 1/4", DUTCH),
]


@pytest.mark.parametrize(("designation", "called", "source"), SAME)
def test_a_size_as_called_is_the_one_printed_beside_it(designation, called, source):
    assert bead_seat(called) == parse_tyre(designation).bead_seat_mm, source


# designation, outer diameter in mm, source
OUTER = [
    ("28-406", 462, "mnhpva.org, Small tire sizing: bead and twice the width"),
    ("37-590", 664, DUTCH),
    ("40-635", 715, DUTCH),
    ("23-622", 668, DUTCH),
]


@pytest.mark.parametrize(("designation", "outer", "source"), OUTER)
def test_a_tyre_stands_as_high_as_printed(designation, outer, source):
    assert parse_tyre(designation).outer_diameter_mm == outer, source


# as called, source: names that mean several diameters
AMBIGUOUS = [
    ("26", f"{DUTCH}: 559, 571, 584, 590 and 597 are all called 26 in"),
    ("16 × 1 3/8", f"{DUTCH}: has two ETRTO sizes"),
    ("16", "mnhpva.org, Small tire sizing: 305 and 349"),
    ("20", "mnhpva.org, Small tire sizing: 406 and 451"),
]


@pytest.mark.parametrize(("called", "source"), AMBIGUOUS)
def test_a_name_that_means_several_diameters_is_not_guessed(called, source):
    with pytest.raises(SizeError):
        pytest.fail(f"{bead_seat(called)} guessed: {source}")


@pytest.mark.parametrize("diameter", [559, 571, 584, 590, 597])
def test_tyres_called_26_inch_do_not_fit_one_anothers_rims(diameter):
    # fietssite.jouwweb.nl, English tyres: those tyres are not interchangeable; ISO 5775-1
    tyre = parse_tyre(f"37-{diameter}")
    fitting = [seat for seat in ISO_SEATS_MM if fits(tyre, parse_rim(f"{seat} × 19C"))]
    assert fitting == [diameter]


@pytest.mark.parametrize("tyre", ISO_SEATS_MM)
@pytest.mark.parametrize("rim", ISO_SEATS_MM)
def test_of_all_diameters_of_the_standard_a_tyre_fits_its_own_alone(tyre, rim):
    # ISO 5775-1 and -2, nominal rim diameters: only equal ones go together
    fit = does_it_fit(Facts(bead_seat_mm=tyre), Facts(bead_seat_mm=rim))
    assert fit.answer is (Answer.YES if tyre == rim else Answer.NO)


# rim inside → narrowest and widest tyre in mm.  # from memory: ETRTO charts, editions differ
CHART = {13: (18, 25), 15: (23, 32), 17: (25, 50), 19: (28, 62), 21: (35, 62), 23: (40, 64)}


@pytest.mark.parametrize("inner", CHART)
def test_a_tyre_on_the_chart_fits_and_one_off_it_is_a_question_for_its_maker(inner):
    narrowest, widest = CHART[inner]
    bike = Facts(bead_seat_mm=622, rim_inner_mm=inner)
    for section in range(15, 80):
        fit = does_it_fit(Facts(bead_seat_mm=622, section_mm=section), bike)
        on = narrowest <= section <= widest
        assert fit.answer is (Answer.YES if on else Answer.UNKNOWN), section
    other_rim = does_it_fit(Facts(bead_seat_mm=584, section_mm=narrowest), bike)
    assert other_rim.answer is Answer.NO


def test_the_designation_of_the_standard_is_read():
    # ISO 5775-1: 32-597 is 32 mm wide on a rim of 597 mm
    tyre = parse_tyre("32-597")
    assert (tyre.width_mm, tyre.bead_seat_mm) == (32, 597)


def test_a_mountain_bikes_tyre_fits_a_road_bikes_rim():
    # moruyabicycles.com.au, Understanding tyre sizes: 52-622 goes on a road wheel's rim …
    assert fits(parse_tyre("52-622"), parse_rim("622 × 15C"))
    # … and its width is off the ETRTO chart for it  # from memory: 15C takes 23 to 32
    assert on_chart(parse_tyre("52-622"), parse_rim("622 × 15C")) is False
