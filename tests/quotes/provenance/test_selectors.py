"""How a bike stands with its provenance, and what speaks against buying it."""

import pytest

from quotes.provenance.models import RegisterResult
from quotes.provenance.registers import PROMPTS, prompts_for
from quotes.provenance.selectors import Standing, provenance_of, reasons_not_to_buy
from quotes.provenance.verbs.start import start_check
from tests.factories.bikes import BikeFactory
from tests.factories.people import UserFactory
from tests.factories.provenance import complete, opened, passed, refused, seller

pytestmark = pytest.mark.django_db


def test_a_bike_nobody_checked():
    bike = BikeFactory.create()
    assert provenance_of(bike) == Standing.NONE
    assert reasons_not_to_buy(bike) == ["Where the bike comes from has not been checked."]


def test_an_open_check_says_what_is_missing():
    bike = opened().bike
    assert provenance_of(bike) == Standing.OPEN
    assert "The frame number has not been read." in reasons_not_to_buy(bike)


def test_a_complete_check_must_still_be_concluded():
    assert "has not been concluded" in reasons_not_to_buy(complete().bike)[0]


def test_nothing_speaks_against_a_bike_that_passed():
    bike = passed().bike
    assert provenance_of(bike) == Standing.PASSED
    assert reasons_not_to_buy(bike) == []


def test_a_refused_bike_says_why():
    bike = refused(reason="The receipt is for another bike.").bike
    assert provenance_of(bike) == Standing.REFUSED
    (reason,) = reasons_not_to_buy(bike)
    assert reason.startswith("Refused on ")
    assert reason.endswith("The receipt is for another bike.")


def test_the_newest_check_stands():
    bike = passed().bike
    start_check(bike, UserFactory.create())
    assert provenance_of(bike) == Standing.OPEN


def test_a_listed_bike_says_so():
    bike = complete(register=RegisterResult.LISTED).bike
    assert reasons_not_to_buy(bike) == ["A register lists the bike as stolen. Refuse it."]


def test_a_bike_changed_after_its_check_is_to_be_checked_anew():
    bike = passed().bike
    bike.frame_number, bike.customer = "OTHER1", seller(name="Ben Rush")
    bike.save()
    assert len(reasons_not_to_buy(bike)) == 2


def test_how_a_bike_stands_takes_one_query(django_assert_num_queries):
    bike = passed().bike
    refused(bike)
    with django_assert_num_queries(1):
        provenance_of(bike)
    with django_assert_num_queries(1):
        reasons_not_to_buy(bike)


@pytest.mark.parametrize("country", [*PROMPTS, "FR"])
def test_every_country_is_told_where_to_look_without_naming_a_site(country):
    prompts = " ".join(prompts_for(country))
    assert "police" in prompts
    assert "register" in prompts
    assert not any(part in prompts for part in ("www", ".com", ".org", "http"))
