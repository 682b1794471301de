"""Pages about bikes: list, booking in, a bike's page, changing it, its photo."""

import datetime as dt
import io
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from tests.asking import queries_of
from tests.factories.bikes import BikeFactory
from tests.factories.people import CustomerFactory, sign_in
from tests.factories.shop import ShopFactory
from workshop.bikes import panels
from workshop.bikes.models import Bike, Stage
from workshop.bikes.panels import Action, Panel
from workshop.bikes.verbs.stages import move_to
from workshop.customers.models import Customer

pytestmark = pytest.mark.django_db

LIST = reverse("bikes:list")
BOOK_IN = reverse("bikes:book_in")


@pytest.fixture
def desk(client):
    client.person = sign_in(client, desk=True)
    return client


def page_of(bike):
    return reverse("bikes:detail", args=(bike.pk,))


def typed(**more):
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


def photo_file(name="bike.jpg"):
    out = io.BytesIO()
    Image.new("RGB", (2000, 1000), "teal").save(out, "JPEG")
    return SimpleUploadedFile(name, out.getvalue(), content_type="image/jpeg")


def numbers_listed(client, **query):
    return [row.record.stock_no for row in client.get(LIST, query).context["table"].rows]


# the list


@pytest.mark.parametrize(
    "query",
    [
        {"q": "lf 12-34"},
        {"q": "commuter plum"},
        {"q": "ada"},
        {"q": "B0002", "sort": "make"},
        {"stage": "inspecting"},
        {"purpose": "repair"},
        {"frame": "diamond"},
        {"q": "plum", "stage": "inspecting", "frame": "diamond"},
    ],
)
def test_the_list_is_searched_and_narrowed(desk, query):
    BikeFactory.create()
    wanted = BikeFactory.create(
        frame_number="XLF1234Y",
        model="Commuter 9",
        colour="plum",
        customer=CustomerFactory.create(name="Ada Moss"),
        stage=Stage.INSPECTING,
        repair=True,
        diamond=True,
    )
    assert numbers_listed(desk, **query) == [wanted.stock_no]


def test_the_newest_stands_first_unless_sorted_otherwise(desk):
    BikeFactory.create(make="Zed")
    BikeFactory.create(make="Ace")
    assert numbers_listed(desk) == ["B0002", "B0001"]
    assert numbers_listed(desk, sort="stock_no") == ["B0001", "B0002"]
    assert numbers_listed(desk, sort="make") == ["B0002", "B0001"]


def test_a_page_or_order_that_is_not_there_shows_the_list_all_the_same(desk):
    BikeFactory.create()
    assert numbers_listed(desk, page="99", sort="nonsense") == ["B0001"]
    assert numbers_listed(desk, page="x") == ["B0001"]


def test_a_stage_that_does_not_exist_is_said(desk):
    page = desk.get(LIST, {"stage": "flying"})
    assert page.status_code == 200
    assert "stage" in page.context["filter_form"].errors


def test_the_list_runs_as_many_queries_for_many_as_for_few(desk):
    BikeFactory.create_batch(2)
    few = queries_of(desk, LIST)
    BikeFactory.create_batch(22)
    assert queries_of(desk, LIST) == few


def test_the_second_page_holds_the_rest(desk):
    BikeFactory.create_batch(26)
    assert len(list(desk.get(LIST, {"page": 2}).context["table"].page.object_list)) == 1
    assert 'rel="prev"' in desk.get(LIST, {"page": 2}).content.decode()


def test_a_mechanic_is_not_shown_whose_bikes_they_are(client):
    bike = BikeFactory.create(customer=CustomerFactory.create(name="Ada Moss"))
    sign_in(client)
    for url in (LIST, page_of(bike)):
        assert "Ada Moss" not in client.get(url).content.decode()


@pytest.mark.parametrize(("words", "found"), [("ada", 0), ("960777", 0), ("larkfold", 1)])
def test_a_mechanic_does_not_find_out_by_searching_whose_bikes_they_are(words, found):
    customer = CustomerFactory.create(name="Ada Moss", phone="01632 960777")
    BikeFactory.create(customer=customer, make="Larkfold")
    desk, mechanic = Client(), Client()
    sign_in(desk, desk=True)
    sign_in(mechanic)
    assert len(desk.get(LIST, {"q": words}).context["table"].rows) == 1
    assert len(mechanic.get(LIST, {"q": words}).context["table"].rows) == found
    assert "or customer" in desk.get(LIST).content.decode()
    assert "or customer" not in mechanic.get(LIST).content.decode()


# booking in


def test_a_bike_is_booked_in_with_a_new_customer(desk):
    response = desk.post(
        BOOK_IN,
        typed(
            new_phone="01632 960777", asking_price="£120,50", maker_year="2018", photo=photo_file()
        ),
        follow=True,
    )
    bike = Bike.objects.get()
    assert response.redirect_chain[-1][0] == page_of(bike)
    assert "Booked in as B0001." in response.content.decode()
    assert (bike.asking_price, bike.maker_year, bike.customer.phone) == (
        120.5,
        2018,
        "01632 960777",
    )
    assert bike.booked_in_by == desk.person
    assert Image.open(bike.photo).size == (1600, 800)


def test_a_bike_is_booked_in_for_somebody_known(desk):
    ada = CustomerFactory.create()
    desk.post(BOOK_IN, typed(new_name="", customer=ada.pk))
    assert Bike.objects.get().customer == ada
    assert Customer.objects.count() == 1


def test_looking_up_a_customer_saves_nothing_and_keeps_what_was_typed(desk):
    ada = CustomerFactory.create(name="Ada Moss")
    response = desk.post(BOOK_IN, typed(look="1", find="ada", new_name="", has_rack="on"))
    assert response.status_code == 200
    form = response.context["form"]
    assert [key for key, _ in form.fields["customer"].choices] == [ada.pk, ""]
    assert form["make"].value() == "Larkfold"
    page = response.content.decode()
    assert 'value="LF 1234"' in page
    assert "has_rack" in page
    assert not Bike.objects.exists()


def test_customers_are_offered_while_typing(desk):
    ada = CustomerFactory.create(name="Ada Moss")
    page = desk.get(BOOK_IN, {"find": "moss"}, headers={"HX-Request": "true"}).content.decode()
    assert f'value="{ada.pk}"' in page
    assert "<html" not in page


def test_a_customer_is_chosen_already_when_coming_from_their_page(desk):
    ada = CustomerFactory.create()
    page = desk.get(BOOK_IN, {"customer": ada.pk}).content.decode()
    assert re.search(rf'name="customer" value="{ada.pk}"[^>]* checked', page)


@pytest.mark.parametrize("customer", ["999", "x", "1 or 1=1"])
def test_a_customer_who_is_not_there_is_said(desk, customer):
    assert desk.get(BOOK_IN, {"customer": customer}).status_code == 200
    response = desk.post(BOOK_IN, typed(new_name="", customer=customer))
    assert response.status_code == 422
    assert "Find them again" in response.context["form"].errors["customer"][0]


@pytest.mark.parametrize(
    ("more", "field", "words"),
    [
        ({"new_name": ""}, "new_name", "Find the customer above, or write the name"),
        ({"new_phone": "none"}, "new_phone", "is not a phone number"),
        ({"make": ""}, "make", "This field is required"),
        ({"frame_number": ""}, "frame_number", "or below it why there is none"),
        ({"frame_number": "--"}, "frame_number", "is no frame number"),
        ({"frame_number": "ß" * 40}, "frame_number", "is no frame number"),
        ({"frame_number_missing": "ground off"}, "frame_number_missing", "There is a frame number"),
        ({"asking_price": "about fifty"}, "asking_price", "“about fifty” is not a price"),
        ({"asking_price": "-5"}, "asking_price", "below zero"),
        ({"asking_price": "1,250"}, "asking_price", "can be read as 1250 or as 1.25"),
        ({"asking_price": "€50"}, "asking_price", "Prices here are in GBP"),
        ({"purpose": "repair", "asking_price": "50"}, "asking_price", "is not for sale"),
        ({"maker_year": "1850"}, "maker_year", "1850 lies before 1880"),
        ({"maker_year": "last"}, "maker_year", "whole number"),
        ({"bead_seat_mm": "26"}, "bead_seat_mm", "26 mm is no rim size"),
        ({"frame": "penny"}, "frame", "not one of the available choices"),
        ({"stage": "bought", "make": ""}, "make", "required"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_saved(desk, more, field, words):
    response = desk.post(BOOK_IN, typed(**more))
    assert response.status_code == 422
    assert words in response.context["form"].errors[field][0]
    assert words in response.content.decode()
    assert not Bike.objects.exists()
    assert not Customer.objects.exists()


def test_a_year_in_the_future_is_refused(desk):
    next_year = timezone.localdate().year + 1
    response = desk.post(BOOK_IN, typed(maker_year=next_year))
    assert f"{next_year} lies in the future" in response.context["form"].errors["maker_year"][0]
    assert desk.post(BOOK_IN, typed(maker_year=next_year - 1)).status_code == 302


def test_a_frame_number_that_is_here_is_said_with_the_way_to_that_bike(desk):
    here = BikeFactory.create(frame_number="LF 1234", make="Lark<fold>")
    response = desk.post(BOOK_IN, typed(frame_number="lf-1234"))
    error = response.context["form"].errors["frame_number"][0]
    assert f'<a href="{page_of(here)}">{here.stock_no} Lark&lt;fold&gt;' in error
    assert "(booked in)" in error
    assert error in response.content.decode()
    assert Bike.objects.count() == 1


def test_both_a_known_and_a_new_customer_is_refused(desk):
    ada = CustomerFactory.create(name="Ada Moss")
    response = desk.post(BOOK_IN, typed(customer=ada.pk, new_name="Bo"))
    assert "Ada Moss is chosen above" in response.context["form"].errors["new_name"][0]


def test_somebody_known_is_not_entered_twice(desk):
    ada = CustomerFactory.create(name="Ada Moss", phone="01632 960777")
    response = desk.post(BOOK_IN, typed(new_name="ada moss", new_phone="01632960777"))
    assert "is known already" in response.context["form"].errors["customer"][0]
    assert f'value="{ada.pk}"' in response.content.decode()
    assert Customer.objects.count() == 1


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"no picture", "is not a photo that can be read"),
        (b"", "is empty"),
        (bytes(40 * 1024 * 1024), "has 40 MB; a photo may have at most 20 MB"),
    ],
)
def test_a_photo_that_is_none_is_said_and_nothing_is_saved(desk, content, words):
    response = desk.post(BOOK_IN, typed(photo=SimpleUploadedFile("bike.jpg", content)))
    assert response.status_code == 422
    assert words in response.context["form"].errors["photo"][0]
    assert not Bike.objects.exists()


@pytest.mark.parametrize("name", ["עדה כהן", "أحمد", "Zoë 🚲", "<script>alert(1)</script>"])
def test_names_in_any_script_are_kept_as_they_are(desk, name):
    desk.post(BOOK_IN, typed(new_name=name))
    assert Bike.objects.get().customer.name == name
    assert "<script>alert" not in desk.get(page_of(Bike.objects.get())).content.decode()


def test_the_stage_cannot_be_set_by_hand(desk):
    desk.post(BOOK_IN, typed(stage="bought", stock_no="B9999"))
    assert (Bike.objects.get().stage, Bike.objects.get().stock_no) == ("booked_in", "B0001")


# a bike's page


def test_the_page_shows_the_facts_and_what_was_changed(desk):
    ShopFactory.create()
    bike = BikeFactory.create(asking_price="120", bead_seat_mm=349, has_rack=True)
    desk.post(reverse("bikes:edit", args=(bike.pk,)), typed(new_name="", customer=bike.customer_id))
    page = desk.get(page_of(bike)).content.decode()
    assert "LF 1234" in page
    assert "asking price: £120.00 → –" in page
    assert f"by {desk.person}" in page


def test_the_page_runs_as_many_queries_for_a_long_history_as_for_a_short_one(desk):
    bike = BikeFactory.create()
    move_to(bike, "inspecting")
    few = queries_of(desk, page_of(bike))
    for stage in ("inspected", "inspecting") * 8:
        move_to(bike, stage)
    assert queries_of(desk, page_of(bike)) == few


def test_what_the_seller_asks_is_hidden_from_mechanics_unless_they_may_see_costs():
    shop = ShopFactory.create()
    bike = BikeFactory.create(asking_price="123.45")
    mechanic, desk = Client(), Client()
    sign_in(mechanic)
    sign_in(desk, desk=True)
    assert "£123.45" in desk.get(page_of(bike)).content.decode()
    assert "123.45" not in mechanic.get(page_of(bike)).content.decode()
    shop.mechanics_see_costs = True
    shop.save()
    assert "£123.45" in mechanic.get(page_of(bike)).content.decode()


def test_the_rooms_add_their_sections_and_buttons_in_order(desk, monkeypatch):
    bike = BikeFactory.create()
    registry = panels.Registry()
    monkeypatch.setattr("workshop.bikes.views.panels_for", registry.panels)
    template = "components/empty.html"
    registry.register(lambda _r, _b: Panel("Later", template, {"title": "second"}, order=60))
    registry.register(
        lambda _r, b: Panel(
            "Sooner", template, {"title": b.make}, 20, (Action("Look at it", "/there/", post=True),)
        )
    )
    registry.register(lambda _r, _b: None)
    page = desk.get(page_of(bike)).content.decode()
    assert page.index("Sooner") < page.index(bike.make + "</p>") < page.index("Later")
    assert '<form method="post" action="/there/">' in page
    assert page.index("Look at it") < page.index(">Change<")


def test_a_panel_is_registered_once():
    registry = panels.Registry()

    @registry.register
    def maker(_request, _bike):
        return None

    registry.register(maker)
    assert registry.makers == [maker]


# changing


def test_a_bike_is_changed_and_its_customer_too(desk):
    bike, other = BikeFactory.create(), CustomerFactory.create()
    url = reverse("bikes:edit", args=(bike.pk,))
    page = desk.get(url).content.decode()
    assert f'value="{bike.frame_number}"' in page
    assert bike.customer.name in page
    response = desk.post(url, typed(new_name="", customer=other.pk, colour="plum"))
    assert response.status_code == 302
    bike.refresh_from_db()
    assert (bike.colour, bike.customer) == ("plum", other)


def test_a_change_to_another_bikes_frame_number_is_refused(desk):
    bike, other = BikeFactory.create(), BikeFactory.create()
    url = reverse("bikes:edit", args=(bike.pk,))
    response = desk.post(
        url, typed(new_name="", customer=bike.customer_id, frame_number=other.frame_number)
    )
    assert other.stock_no in response.context["form"].errors["frame_number"][0]
    bike.refresh_from_db()
    assert bike.frame_number != other.frame_number


# the photo


def test_a_photo_is_sent_and_not_kept_by_others(desk):
    desk.post(BOOK_IN, typed(photo=photo_file()))
    response = desk.get(reverse("bikes:photo", args=(Bike.objects.get().pk,)))
    assert response["Content-Type"] == "image/jpeg"
    assert response["Cache-Control"] == "private"
    assert b"".join(response.streaming_content)[:2] == b"\xff\xd8"


def test_where_there_is_no_photo_or_its_file_is_gone_that_is_a_404(desk):
    bike = BikeFactory.create()
    url = reverse("bikes:photo", args=(bike.pk,))
    assert desk.get(url).status_code == 404
    Bike.objects.filter(pk=bike.pk).update(photo="bikes/gone.jpg")
    assert desk.get(url).status_code == 404


def test_age_is_counted_from_the_makers_year():
    bike = BikeFactory.create(maker_year=2019)
    assert bike.age_years(dt.date(2026, 3, 1)) == 7
    assert BikeFactory.create(maker_year=None).age_years(dt.date(2026, 3, 1)) is None
