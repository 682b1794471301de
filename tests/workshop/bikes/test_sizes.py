"""Sizes of bikes: kept within what is plausible, measured, taken over, asked when booking in."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse

from inventory.core.fitting import Answer, Facts
from inventory.parts.models import BrakeKind, FitFacts
from tests.asking import queries_of
from tests.factories.bikes import BikeFactory
from tests.factories.parts import PartFactory
from tests.factories.people import sign_in
from workshop.bikes.fitting import facts_of, fits_of, known_of, offers_for
from workshop.bikes.models import Bike, BikeFit, Brake
from workshop.bikes.sizeforms import GROUPS, SizesForm
from workshop.bikes.sizes import SIZES, how_to
from workshop.bikes.verbs.measure import NothingToTakeError, measure_bike, take_over

pytestmark = pytest.mark.django_db
D = Decimal
HUNDREDTH = D("0.01")


@pytest.fixture
def desk(client):
    client.person = sign_in(client, desk=True)
    return client


@pytest.fixture
def mechanic(client):
    client.person = sign_in(client)
    return client


def sizes_of(bike):
    return reverse("bikes:sizes", args=(bike.pk,))


def measured(bike=None, **sizes):
    bike = bike or BikeFactory.create()
    measure_bike(bike, sizes)
    return bike


# what is kept


@pytest.mark.parametrize("name", SIZES)
def test_the_database_holds_each_size_within_what_is_plausible(name):
    size, bike = SIZES[name], BikeFactory.create()
    whole = isinstance(BikeFit._meta.get_field(name).to_python("20"), int)
    step = 1 if whole else HUNDREDTH
    for value in (size.least, size.most):
        BikeFit.objects.create(bike=bike, **{name: value}).delete()
    for value in (size.least - step, size.most + step):
        with pytest.raises(IntegrityError), transaction.atomic():
            BikeFit.objects.create(bike=bike, **{name: value})


def test_a_bike_has_its_sizes_once():
    bike = measured(post_mm=D("31.8"))
    with pytest.raises(IntegrityError), transaction.atomic():
        BikeFit.objects.create(bike=bike)


def test_every_size_is_asked_for_and_says_how_it_is_read():
    asked = [name for _, names in GROUPS for name in names]
    assert sorted(asked) == sorted(["bead_seat_mm", *BikeFit.names()])
    assert all(how_to(name) for name in asked)
    for field in SizesForm(instance=BikeFit(bike=Bike())).fields.values():
        assert field.help_text


def test_every_size_of_a_bike_is_compared_with_parts():
    assert set(BikeFit.names()) < set(Facts.__slots__)


def test_brakes_of_bikes_and_of_parts_are_the_same_kinds():
    assert Brake is BrakeKind


def test_what_is_known_goes_to_the_comparison_in_words():
    bike = measured(
        BikeFactory.create(bead_seat_mm=349),
        post_mm=D("31.8"),
        rear_dropout="open",
        shell_thread="bsc",
    )
    facts = facts_of(bike)
    assert (facts.bead_seat_mm, facts.post_mm) == (349, D("31.8"))
    assert facts.rear_dropout == "open slot, nuts or quick release"
    assert facts.shell_thread.endswith("(BSC)")
    assert facts.brake_kind == "rim brakes"
    assert facts_of(BikeFactory.create()) == Facts(brake_kind="rim brakes")
    assert facts_of(BikeFactory.create(rear_brake="hub")) == Facts()
    assert [(each.name, each.value) for each in known_of(bike.fit)][-1] == (
        "seat-post diameter",
        "31.8 mm",
    )


def test_only_parts_of_which_something_tells_are_answered():
    bike = measured(BikeFactory.create(bead_seat_mm=406), post_mm=D("33.9"))
    parts = [PartFactory.create(code=code) for code in ("right", "wrong", "silent", "bare")]
    for part, size in zip(parts, (406, 349, None), strict=False):
        FitFacts.objects.create(part=part, bead_seat_mm=size)
    fits = fits_of(bike, [part.pk for part in parts])
    assert {pk: fit.answer for pk, fit in fits.items()} == {
        parts[0].pk: Answer.YES,
        parts[1].pk: Answer.NO,
    }
    assert fits_of(bike, []) == {}


@pytest.mark.parametrize(
    ("name", "value"), [("post_mm", D(12)), ("chain_speeds", 20), ("rear_dropout", "sideways")]
)
def test_what_is_not_plausible_is_not_kept(name, value):
    bike = measured(post_mm=D("31.8"))
    with pytest.raises(ValidationError):
        measure_bike(bike, {name: value, "shell_width_mm": D(68)})
    assert BikeFit.objects.get().known() == {"post_mm": D("31.8")}


def test_nothing_known_leaves_no_row():
    measure_bike(BikeFactory.create(), {"pad_shape": "", "post_mm": None})
    assert not BikeFit.objects.exists()


# as on another bike


def test_sizes_are_taken_over_from_the_same_model_and_what_is_known_stays():
    like = measured(post_mm=D("33.9"), shell_width_mm=D(68), rear_dropout="open")
    bike = measured(post_mm=D("31.8"))
    offer = offers_for(bike)[0]
    assert offer.bike == like
    assert [each.name for each in offer.sizes] == ["rear dropout", "bottom-bracket shell width"]
    fit = take_over(bike, like)
    assert fit.known() == {"post_mm": D("31.8"), "shell_width_mm": D(68), "rear_dropout": "open"}
    assert offers_for(bike) == ()


def test_another_model_or_no_model_or_nothing_new_is_not_taken():
    other = measured(BikeFactory.create(model="Other"), post_mm=D("33.9"))
    bike = measured(shell_width_mm=D(68))
    nameless = BikeFactory.create(model="")
    measured(BikeFactory.create(model=""), post_mm=D(27))
    twin = measured(shell_width_mm=D(68))
    for this, that in ((bike, other), (nameless, Bike.objects.get(model="", fit__isnull=False))):
        with pytest.raises(NothingToTakeError):
            take_over(this, that)
    with pytest.raises(NothingToTakeError):
        take_over(bike, twin)
    assert offers_for(nameless) == ()


def test_make_and_model_are_the_same_however_they_are_written():
    like = measured(BikeFactory.create(make="LARKFOLD", model="commuter 6"), post_mm=D("33.9"))
    assert [each.bike for each in offers_for(BikeFactory.create())] == [like]


def test_a_bike_is_offered_only_for_what_newer_ones_do_not_tell():
    measured(post_mm=D("33.9"))
    second = measured(post_mm=D("33.9"), shell_width_mm=D(68))
    third = measured(post_mm=D("31.8"))
    offers = offers_for(BikeFactory.create())
    assert [each.bike for each in offers] == [third, second]
    assert [each.name for each in offers[1].sizes] == ["bottom-bracket shell width"]


# the page


def test_whoever_measures_writes_down_what_is_known_on_the_page(mechanic):
    bike = BikeFactory.create(bead_seat_mm=349)
    given = {"bead_seat_mm": "406", "post_mm": "33,9", "pad_shape": " bolted   block "}
    response = mechanic.post(sizes_of(bike), given | {"rear_dropout": "open", "chain_speeds": "8"})
    assert response.status_code == 302
    bike.refresh_from_db()
    assert bike.bead_seat_mm == 406
    assert bike.fit.known() == {
        "post_mm": D("33.9"),
        "pad_shape": "bolted block",
        "rear_dropout": "open",
        "chain_speeds": 8,
    }
    page = mechanic.get(sizes_of(bike)).content.decode()
    assert f"by {mechanic.person}" in page
    assert 'value="33.9"' in page
    assert "33.9 mm" in mechanic.get(reverse("bikes:detail", args=(bike.pk,))).content.decode()


def test_a_size_is_taken_away_by_emptying_it(mechanic):
    bike = measured(BikeFactory.create(bead_seat_mm=349), post_mm=D("31.8"))
    mechanic.post(sizes_of(bike), {"bead_seat_mm": "", "post_mm": ""})
    bike.refresh_from_db()
    assert bike.bead_seat_mm is None
    assert bike.fit.known() == {}


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("bead_seat_mm", "26", "26 mm is no rim size"),
        ("bead_seat_mm", "big", "whole number"),
        ("post_mm", "318", "less than or equal to 40"),
        ("post_mm", "-31", "greater than or equal to 20"),
        ("post_mm", "thick", "“thick” is not a number"),
        ("post_mm", "31.855", "no more than 2 decimal places"),
        ("front_axle_mm", "10", "greater than or equal to 60"),
        ("chain_speeds", "99", "less than or equal to 14"),
        ("widest_tyre_mm", "4", "greater than or equal to 15"),
        ("rear_dropout", "sideways", "not one of the available choices"),
        ("pad_shape", "x" * 41, "at most 40 characters"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field_and_nothing_is_kept(desk, name, value, words):
    bike = measured(steerer_mm=D("25.4"))
    response = desk.post(sizes_of(bike), {"shell_width_mm": "68"} | {name: value})
    assert response.status_code == 422
    assert words in response.context["form"].errors[name][0]
    assert BikeFit.objects.get().known() == {"steerer_mm": D("25.4")}


def test_an_accountant_reads_the_sizes_and_changes_none(client):
    sign_in(client, accountant=True)
    bike = measured(post_mm=D("31.8"))
    page = client.get(sizes_of(bike)).content.decode()
    assert "31.8 mm" in page
    assert "Keep the sizes" not in page
    assert client.post(sizes_of(bike), {"post_mm": "33.9"}).status_code == 403


def test_the_offer_is_a_button_that_takes_it_over(mechanic):
    like, bike = measured(post_mm=D("33.9")), BikeFactory.create()
    url = reverse("bikes:sizes_taken", args=(bike.pk, like.pk))
    assert url in mechanic.get(sizes_of(bike)).content.decode()
    assert "is the same model" in mechanic.get(f"/bikes/{bike.pk}/").content.decode()
    mechanic.post(url)
    assert bike.fit.post_mm == D("33.9")
    again = mechanic.post(url, follow=True)
    assert "tells no size that" in again.content.decode()


def test_the_page_runs_as_many_queries_for_many_like_bikes_as_for_few(desk):
    bike = BikeFactory.create()
    measured(post_mm=D("33.9"))
    few = queries_of(desk, sizes_of(bike)), queries_of(desk, f"/bikes/{bike.pk}/")
    for number in range(12):
        measured(post_mm=D(25 + number), shell_width_mm=D(68))
    assert (queries_of(desk, sizes_of(bike)), queries_of(desk, f"/bikes/{bike.pk}/")) == few


# when booking in


def booked(**more):
    return {
        "new_name": "Ada Moss",
        "purpose": "buy_in",
        "make": "Larkfold",
        "frame_number": "LF 1234",
        "frame": "folding",
        "brake": "rim",
        "gears": "hub",
        "use": "everyday",
    } | more


def test_sizes_may_be_written_down_when_booking_in(desk):
    desk.post(reverse("bikes:book_in"), booked(**{"size-post_mm": "33,9"}))
    assert Bike.objects.get().fit.known() == {"post_mm": D("33.9")}


def test_a_wrong_size_keeps_the_bike_from_being_booked_in_and_is_shown(desk):
    response = desk.post(reverse("bikes:book_in"), booked(**{"size-post_mm": "339"}))
    assert response.status_code == 422
    assert not Bike.objects.exists()
    assert "less than or equal to 40" in response.content.decode()
    looked = desk.post(reverse("bikes:book_in"), booked(look="1", **{"size-post_mm": "33.9"}))
    assert 'value="33.9"' in looked.content.decode()
