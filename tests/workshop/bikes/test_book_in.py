"""Booking a bike in: the verb behind the page."""

import threading

import pytest
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import IntegrityError, connection

from inventory.numbering.models import Counter
from tests.factories.bikes import BikeFactory
from tests.factories.people import CustomerFactory, UserFactory
from workshop.bikes.models import Bike
from workshop.bikes.verbs import book_in as verb
from workshop.bikes.verbs.book_in import DuplicateFrameError, book_in
from workshop.bikes.verbs.change import change_bike
from workshop.customers.models import Customer


def facts(**more):
    return {"make": "Larkfold", "frame_number": "LF 1234"} | more


@pytest.mark.django_db
def test_a_bike_gets_the_next_stock_number_and_the_first_stage():
    desk, seller = UserFactory.create(desk=True), CustomerFactory.create()
    first = book_in(by=desk, customer=seller, **facts())
    second = book_in(by=desk, customer=seller, **facts(frame_number="LF 1235"))
    assert (first.stock_no, second.stock_no) == ("B0001", "B0002")
    assert (first.stage, first.booked_in_by, first.customer) == ("booked_in", desk, seller)


@pytest.mark.django_db
def test_a_new_customer_is_saved_with_the_bike():
    bike = book_in(by=UserFactory.create(), customer=Customer(name="Ada Moss"), **facts())
    assert Customer.objects.get() == bike.customer


@pytest.mark.django_db
@pytest.mark.parametrize("number", ["LF 1234", "lf1234", "LF-12.34"])
def test_a_frame_number_that_is_here_is_refused_however_it_is_written(number):
    here = BikeFactory.create(frame_number="LF 1234")
    with pytest.raises(DuplicateFrameError, match=here.stock_no) as caught:
        book_in(
            by=UserFactory.create(), customer=Customer(name="Ada"), **facts(frame_number=number)
        )
    assert caught.value.bike == here
    assert not Customer.objects.filter(name="Ada").exists()


@pytest.mark.django_db
@pytest.mark.parametrize(
    "wrong",
    [
        {"make": ""},
        {"frame": "penny"},
        {"frame_number": "", "frame_number_missing": ""},
        {"maker_year": 1700},
        {"asking_price": -1},
    ],
)
def test_what_a_bike_cannot_have_is_refused_and_nothing_is_saved(wrong):
    with pytest.raises(ValidationError):
        book_in(by=UserFactory.create(), customer=Customer(name="Ada"), **facts(**wrong))
    assert not Bike.objects.exists()
    assert not Customer.objects.exists()
    assert not Counter.objects.exists()


@pytest.mark.django_db
def test_bikes_without_a_frame_number_do_not_clash():
    for _ in range(2):
        book_in(
            by=UserFactory.create(),
            customer=CustomerFactory.create(),
            **facts(frame_number="", frame_number_missing="painted over"),
        )
    assert list(Bike.objects.values_list("frame_key", flat=True)) == [None, None]


@pytest.mark.django_db
@pytest.mark.parametrize(
    "wrong", [{"frame_number": ""}, {"maker_year": 1700}, {"asking_price": -1}]
)
def test_the_database_itself_refuses_what_the_form_refuses(wrong):
    bike = BikeFactory.build(
        customer=CustomerFactory.create(), booked_in_by=UserFactory.create(), stock_no="X", **wrong
    )
    with pytest.raises(IntegrityError):
        bike.save()


@pytest.fixture
def _taken_meanwhile(monkeypatch):
    """Let the first look for a twin find nothing, as if it were saved a moment later."""
    look = verb.bike_with_frame_number
    looks = iter([False])

    def looked(*args, **kwargs):
        return look(*args, **kwargs) if next(looks, True) else None

    monkeypatch.setattr(verb, "bike_with_frame_number", looked)


@pytest.mark.django_db
@pytest.mark.usefixtures("_taken_meanwhile")
def test_a_frame_number_taken_between_look_and_save_is_refused_and_leaves_no_photo():
    here = BikeFactory.create(frame_number="LF 1234")
    bike = Bike(
        stock_no="B0099",
        customer=here.customer,
        booked_in_by=here.booked_in_by,
        photo=ContentFile(b"a picture", name="bike.jpg"),
        **facts(),
    )
    verb.refuse_twin(bike)
    with pytest.raises(DuplicateFrameError):
        verb.save_once(bike)
    assert default_storage.listdir("bikes")[1] == []


@pytest.mark.django_db
@pytest.mark.usefixtures("_taken_meanwhile")
def test_a_change_refused_at_the_last_moment_keeps_the_photo_that_was_there():
    here = BikeFactory.create(frame_number="LF 1234")
    bike = BikeFactory.create(photo=ContentFile(b"a picture", name="bike.jpg"))
    with pytest.raises(DuplicateFrameError):
        change_bike(bike, customer=bike.customer, frame_number=here.frame_number)
    assert Bike.objects.get(pk=bike.pk).photo.read() == b"a picture"


@pytest.mark.django_db(transaction=True)
def test_of_two_who_book_the_same_frame_in_at_once_one_is_refused():
    desk, seller = UserFactory.create(desk=True), CustomerFactory.create()
    start, ends = threading.Barrier(4), []

    def attempt():
        start.wait()
        try:
            ends.append(book_in(by=desk, customer=seller, **facts()).stock_no)
        except DuplicateFrameError:
            ends.append("refused")
        finally:
            connection.close()

    threads = [threading.Thread(target=attempt) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(ends) == ["B0001", "refused", "refused", "refused"]
    assert Counter.objects.get(name="bike").value == 1


@pytest.mark.django_db
def test_a_change_leaves_the_stage_that_another_person_has_set():
    bike = BikeFactory.create()
    Bike.objects.filter(pk=bike.pk).update(stage="inspecting")
    change_bike(bike, customer=bike.customer, colour="plum")
    bike.refresh_from_db()
    assert (bike.colour, bike.stage) == ("plum", "inspecting")


@pytest.mark.django_db
def test_a_bike_may_keep_its_own_frame_number_but_not_take_another_ones():
    bike, other = BikeFactory.create(), BikeFactory.create()
    change_bike(bike, customer=bike.customer, frame_number=bike.frame_number.lower())
    with pytest.raises(DuplicateFrameError):
        change_bike(bike, customer=bike.customer, frame_number=other.frame_number)


@pytest.mark.django_db
def test_a_new_photo_takes_the_old_ones_place(django_capture_on_commit_callbacks):
    bike = BikeFactory.create()
    for content in (b"first", b"second"):
        with django_capture_on_commit_callbacks(execute=True):
            change_bike(bike, customer=bike.customer, photo=ContentFile(content, name="b.jpg"))
    bike.refresh_from_db()
    assert bike.photo.read() == b"second"
    assert len(default_storage.listdir("bikes")[1]) == 1


@pytest.mark.django_db
def test_a_change_is_kept_in_history():
    bike = BikeFactory.create(colour="teal")
    change_bike(bike, customer=bike.customer, colour="plum")
    assert [row.colour for row in bike.history.all()] == ["plum", "teal"]
