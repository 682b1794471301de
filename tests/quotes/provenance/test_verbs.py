"""What may be done with a provenance check, and what stays as it is."""

import datetime as dt

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.utils import timezone

from quotes.provenance.models import (
    IdentityKeeping,
    NumberKept,
    ProvenanceCheck,
    RegisterResult,
    SellerIdentity,
    State,
)
from quotes.provenance.models.checks import ConcludedError
from quotes.provenance.verbs.conclude import CannotConcludeError, pass_check, refuse
from quotes.provenance.verbs.note_proof import note_proof
from quotes.provenance.verbs.note_register import note_register
from quotes.provenance.verbs.note_seller import note_seller
from quotes.provenance.verbs.note_signed import note_signed
from quotes.provenance.verbs.read_frame import (
    ReadingError,
    ReadingsDifferError,
    begin_readings_anew,
    read_frame,
)
from quotes.provenance.verbs.start import NotOfferedError, start_check
from tests.factories.bikes import BikeFactory
from tests.factories.people import UserFactory
from tests.factories.provenance import complete, opened, passed, refused, seen, seller

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk():
    return UserFactory.create(desk=True)


# beginning


def test_an_open_check_is_gone_on_with(desk):
    bike = BikeFactory.create()
    assert start_check(bike, desk) == start_check(bike, UserFactory.create())
    assert ProvenanceCheck.objects.count() == 1


def test_after_a_concluded_check_a_new_one_begins(desk):
    first = refused()
    second = start_check(first.bike, desk)
    assert (second.state, second.pk != first.pk) == (State.OPEN, True)


def test_a_bike_brought_for_repair_is_not_checked(desk):
    with pytest.raises(NotOfferedError, match="brought for repair"):
        start_check(BikeFactory.create(repair=True), desk)


# who sells


def test_of_the_documents_number_only_the_end_is_kept():
    assert note_seller(opened(), seen(number="PZ 123-4567")).number == "4567"


@pytest.mark.parametrize(
    ("kept", "law", "number"),
    [(NumberKept.NONE, "", ""), (NumberKept.FULL, "an invented act, s. 1", "PZ1234567")],
)
def test_a_rule_says_how_much_of_the_number_is_kept(kept, law, number):
    IdentityKeeping.objects.create(pk=1, number=kept, law=law)
    assert note_seller(opened(), seen(number="PZ 123-4567")).number == number


def test_all_of_a_number_is_kept_only_by_a_law():
    with pytest.raises(IntegrityError), transaction.atomic():
        IdentityKeeping.objects.create(pk=1, number=NumberKept.FULL)


def test_the_number_stands_nowhere_else():
    note_seller(opened(), seen(number="PZ 123-4567"))
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names():
            if table.startswith("provenance_"):
                cursor.execute(f"SELECT * FROM {table}")  # noqa: S608 - names of our own tables
                assert "1234567" not in str(cursor.fetchall()).replace("-", "").replace(" ", "")


@pytest.mark.parametrize(
    ("name", "address", "matches"),
    [
        ("ada  moss", "3 Mill Row, Nowhere", True),
        ("Ada Moss", "4 Mill Row\nNowhere", False),
        ("Adam Oss", "3 Mill Row\nNowhere", False),
    ],
)
def test_name_and_address_are_held_against_our_record(name, address, matches):
    check = opened()
    note_seller(check, seen(name=name, address=address, difference="moved"))
    kept = ProvenanceCheck.objects.get(pk=check.pk)
    assert kept.matches is matches
    assert kept.identity.difference == ("" if matches else "moved")


def test_our_record_is_corrected_where_asked():
    check = opened(customer=seller(address=""))
    note_seller(check, seen(), correct_record=True)
    kept = ProvenanceCheck.objects.get(pk=check.pk)
    assert kept.matches
    assert kept.seller.address == "3 Mill Row\nNowhere"


def test_the_seller_is_noted_anew_in_the_place_of_before():
    check = opened()
    note_seller(check, seen())
    note_seller(check, seen(name="Ada M. Moss", difference="with the middle name"))
    assert SellerIdentity.objects.get().name == "Ada M. Moss"


# the frame number


def test_two_readings_that_agree_are_kept_with_who_read_them(desk):
    check = opened(frame_number="LF-12 34")
    mechanic = UserFactory.create()
    read_frame(check, "lf 1234", desk)
    kept = read_frame(check, "LF.12-34", mechanic)
    assert (kept.frame_first, kept.frame_second) == ("LF 1234", "LF.12-34")
    assert (kept.frame_first_by, kept.frame_second_by) == (desk, mechanic)


def test_a_second_reading_that_differs_is_not_kept_and_does_not_tell_the_first(desk):
    check = opened(frame_number="LF1234")
    read_frame(check, "LF1234", desk)
    with pytest.raises(ReadingsDifferError) as refusal:
        read_frame(check, "LF1Z34", desk)
    assert "LF1234" not in str(refusal.value)
    assert "letter by letter" in str(refusal.value)
    assert ProvenanceCheck.objects.get().frame_second == ""


def test_both_readings_begin_anew(desk):
    check = opened(frame_number="LF1234")
    read_frame(check, "LF1Z34", desk)
    begin_readings_anew(check)
    read_frame(check, "LF1234", desk)
    assert read_frame(check, "LF1234", desk).frame_second_by == desk
    with pytest.raises(ReadingError, match="read twice"):
        read_frame(check, "LF1234", desk)


def test_a_reading_has_letters_or_figures(desk):
    with pytest.raises(ReadingError, match="letters and figures"):
        read_frame(opened(), " -/- ", desk)


def test_a_number_read_twice_that_is_not_the_bikes_keeps_it_from_passing(desk):
    check = complete()
    begin_readings_anew(check)
    read_frame(check, "XX99", desk)
    read_frame(check, "XX99", desk)
    with pytest.raises(CannotConcludeError, match="read as XX99, but the bike is booked in as"):
        pass_check(check, desk)
    assert ProvenanceCheck.objects.get().state == State.OPEN


def test_a_bike_without_a_frame_number_is_never_passed(desk):
    check = opened(frame_number="", frame_number_missing="ground off")
    read_frame(check, "XX99", desk)
    with pytest.raises(CannotConcludeError, match="ground off"):
        pass_check(check, desk)


# concluding


def test_a_complete_check_passes(desk):
    kept = pass_check(complete(), desk)
    assert (kept.state, kept.concluded_by) == (State.PASSED, desk)
    assert kept.concluded_at is not None


def test_an_empty_check_says_everything_that_is_missing(desk):
    with pytest.raises(CannotConcludeError) as refusal:
        pass_check(opened(), desk)
    assert len(refusal.value.reasons) == 5


def test_what_is_listed_as_stolen_is_never_passed(desk):
    check = complete(register=RegisterResult.LISTED)
    with pytest.raises(CannotConcludeError, match="lists the bike as stolen"):
        pass_check(check, desk)
    assert refuse(check, reason="Listed as stolen.", by=desk).state == State.REFUSED


def test_a_register_that_could_not_be_checked_keeps_it_from_passing(desk):
    check = complete()
    note_register(
        check,
        result=RegisterResult.NOT_CHECKED,
        on=timezone.localdate(),
        by=desk,
        note="no network",
    )
    with pytest.raises(CannotConcludeError, match="no network"):
        pass_check(check, desk)


def test_a_difference_without_a_reason_keeps_it_from_passing(desk):
    check = complete()
    note_seller(check, seen(name="Somebody Else"))
    with pytest.raises(CannotConcludeError, match="differ from our record"):
        pass_check(check, desk)
    note_seller(check, seen(name="Ada Rush", difference="married"))
    assert pass_check(check, desk)


def test_another_seller_meanwhile_keeps_it_from_passing(desk):
    check = complete()
    check.bike.customer = seller(name="Ben Rush")
    check.bike.save()
    with pytest.raises(CannotConcludeError, match="another seller now"):
        pass_check(check, desk)


def test_a_refusal_says_why(desk):
    with pytest.raises(CannotConcludeError, match="Say why"):
        refuse(opened(), reason="  ", by=desk)


@pytest.mark.parametrize(
    "change",
    [
        lambda check, by: note_seller(check, seen()),
        lambda check, by: read_frame(check, "X1", by),
        lambda check, by: begin_readings_anew(check),
        lambda check, by: note_proof(check, proof="none"),
        lambda check, by: note_register(check, result="listed", on=dt.date(2026, 1, 1), by=by),
        lambda check, by: note_signed(check, signed=False, by=by),
        pass_check,
        lambda check, by: refuse(check, reason="no", by=by),
    ],
)
def test_a_concluded_check_stays_as_it_is(desk, change):
    check = passed()
    with pytest.raises(ConcludedError, match="Begin a new one"):
        change(check, desk)


def test_models_and_database_keep_a_concluded_check_and_its_seller(desk):
    check = ProvenanceCheck.objects.get(pk=passed().pk)
    with pytest.raises(ConcludedError):
        check.save()
    with pytest.raises(ConcludedError):
        check.delete()
    for rows, change in (
        (ProvenanceCheck.objects, {"proof": "none"}),
        (SellerIdentity.objects, {"name": "Somebody Else"}),
    ):
        with pytest.raises(DatabaseError, match="stays as it is"), transaction.atomic():
            rows.update(**change)
    bare = refuse(opened(), reason="no", by=desk)
    with pytest.raises(DatabaseError, match="stays as it is"), transaction.atomic():
        SellerIdentity.objects.create(provenance=bare, name="x", address="y")


@pytest.mark.parametrize(
    "fields",
    [
        {"state": "passed"},
        {"state": "refused"},
    ],
)
def test_the_database_refuses_a_conclusion_that_is_not_whole(desk, fields):
    with pytest.raises(IntegrityError), transaction.atomic():
        ProvenanceCheck.objects.create(
            bike=BikeFactory.create(),
            seller=seller(),
            started_by=desk,
            concluded_by=desk,
            concluded_at=timezone.now(),
            **fields,
        )


def test_what_was_done_is_in_the_history():
    check = passed()
    assert check.history.count() == 8
    assert {row.state for row in check.history.all()} == {State.OPEN, State.PASSED}
