"""Readings that give a size of the bike: kept with it, not judged, not printed for the customer."""

from decimal import Decimal

import pytest
from django.db import IntegrityError
from django.urls import reverse

from quotes.quoting.selectors.found import found_in
from tests.factories.inspections import CheckpointFactory, FaultFactory, InspectionFactory
from tests.factories.inspections import MeasureFactory as Measured
from tests.factories.people import UserFactory, sign_in
from workshop.bikes.models import BikeFit
from workshop.bikes.verbs.measure import measure_bike
from workshop.inspections.judging import EntryError, FaultInput
from workshop.inspections.models import Measure, Outcome
from workshop.inspections.models.asked import READ_ON_THE_WALK
from workshop.inspections.verbs.record import record_check, record_sound

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def post():
    """A checkpoint with a fault and a measure that gives the seat post's diameter."""
    point = CheckpointFactory.create(code="post")
    FaultFactory.create(code="post-dirty", checkpoint=point)
    Measured.create(code="post-size", checkpoint=point, fills="post_mm", name="Post diameter")
    return point


def test_a_size_read_on_the_walk_is_kept_with_the_bike_and_the_newest_holds(post):
    inspection, by = InspectionFactory.create(), UserFactory.create()
    measure_bike(inspection.bike, {"shell_width_mm": D(68)})
    record_sound(inspection, post, by=by, base_version=0, readings={"post-size": D("31.8")})
    known = BikeFit.objects.get().known()
    assert known == {"post_mm": D("31.8"), "shell_width_mm": D(68)}
    record_sound(inspection, post, by=by, base_version=1, readings={"post-size": D("33.9")})
    assert BikeFit.objects.get().post_mm == D("33.9")


def test_a_size_that_no_bike_has_is_refused_with_the_whole_check(post):
    inspection = InspectionFactory.create()
    with pytest.raises(EntryError) as refused:
        record_sound(
            inspection,
            post,
            by=UserFactory.create(),
            base_version=0,
            readings={"post-size": D(45)},
        )
    assert refused.value.field == "post-size"
    assert "40" in str(refused.value)
    assert not inspection.checks.exists()
    assert not BikeFit.objects.exists()


def test_a_size_alone_says_nothing_of_soundness(post):
    with pytest.raises(EntryError, match="Nothing is entered yet"):
        record_check(
            InspectionFactory.create(),
            post,
            by=UserFactory.create(),
            base_version=0,
            outcome=Outcome.FINDINGS,
            readings={"post-size": D("31.8")},
        )


def test_the_customer_does_not_read_a_size_among_what_was_found(post):
    inspection = InspectionFactory.create()
    record_check(
        inspection,
        post,
        by=UserFactory.create(),
        base_version=0,
        outcome=Outcome.FINDINGS,
        faults=[FaultInput("post-dirty")],
        readings={"post-size": D("31.8")},
    )
    assert [each.copied["readings"] for each in found_in(inspection)] == [""]


def test_the_page_asks_for_it_apart_from_what_is_judged(post, client):
    sign_in(client)
    inspection = InspectionFactory.create()
    url = reverse("inspections:checkpoint", args=(inspection.pk, "post"))
    page = client.get(url).content.decode()
    assert "Size for new parts: post diameter" in page
    client.post(
        reverse("inspections:sound", args=(inspection.pk, "post")),
        {"version": "0", "reading-post-size": "31,8"},
    )
    assert BikeFit.objects.get().post_mm == D("31.8")


def test_sizes_are_kept_in_mm_alone():
    with pytest.raises(IntegrityError):
        Measured.create(fills="post_mm", unit="in")


def test_what_a_measure_may_give_is_a_size_of_a_bike():
    assert {name for name, _ in READ_ON_THE_WALK} <= set(BikeFit.names())


def test_the_catalogue_reads_some_sizes_on_the_walk(catalogue):
    filled = set(Measure.objects.exclude(fills="").values_list("fills", flat=True))
    assert filled == {"post_mm", "shell_width_mm", "front_axle_mm", "rear_axle_mm"}
