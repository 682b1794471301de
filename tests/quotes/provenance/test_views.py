"""Pages of a provenance check: its steps, concluding, the declaration, the panel, settings."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from quotes.provenance.models import (
    IdentityKeeping,
    ProvenanceCheck,
    RegisterResult,
    SellerIdentity,
    State,
)
from quotes.provenance.verbs.read_frame import read_frame
from tests.asking import queries_of, text_of
from tests.factories.bikes import BikeFactory
from tests.factories.people import UserFactory, sign_in
from tests.factories.provenance import complete, opened, passed, refused, rules, seller
from tests.factories.shop import ShopFactory
from tests.pdfs import pages_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    ShopFactory.create()
    client.person = sign_in(client, desk=True)
    return client


def url(name, check, **more):
    return reverse(f"provenance:{name}", kwargs={"pk": check.pk} | more)


def step(slug, check):
    return url("step", check, slug=slug)


def bike_page(bike):
    return reverse("bikes:detail", args=(bike.pk,))


SELLER = {"document": "passport", "number": "PZ1234567", "adult": "on", "shown": "as_recorded"}


def test_the_whole_way_from_the_bikes_page_to_a_pass(desk):
    bike = BikeFactory.create(customer=seller())
    assert "Check the provenance" in text_of(desk.get(bike_page(bike)))
    desk.post(reverse("provenance:start", args=(bike.pk,)))
    check = ProvenanceCheck.objects.get()
    desk.post(step("seller", check), SELLER)
    for _ in range(2):
        desk.post(url("frame", check), {"number": bike.frame_number.lower()})
    desk.post(step("proof", check), {"proof": "none"})
    today = timezone.localdate().isoformat()
    desk.post(step("register", check), {"result": "not_listed", "on": today})
    desk.post(step("statement", check), {"signed": "on"})
    page = text_of(desk.get(url("check", check)))
    assert "Nothing is missing" in page
    assert "number ending in 4567" in page
    assert "the same person" in page
    done = text_of(desk.post(url("conclude", check), follow=True))
    assert "Passed. It stays as it is." in done
    check.refresh_from_db()
    assert (check.state, check.concluded_by) == (State.PASSED, desk.person)
    assert check.history.first().history_user == desk.person
    assert "passed" in text_of(desk.get(bike_page(bike)))


def test_passing_too_early_is_answered_with_what_is_missing(desk):
    check = opened()
    page = text_of(desk.post(url("conclude", check), follow=True))
    assert "Not passed: Who sells the bike has not been noted." in page
    check.refresh_from_db()
    assert check.state == State.OPEN


# the seller


def test_a_record_without_an_address_is_completed_from_the_document(desk):
    check = opened(customer=seller(address=""))
    page = desk.get(step("seller", check)).content.decode()
    assert "As in our record" not in page
    desk.post(
        step("seller", check),
        SELLER
        | {
            "shown": "otherwise",
            "name": "Ada Moss",
            "address": "3 Mill Row",
            "correct_record": "on",
        },
    )
    check.refresh_from_db()
    assert (check.matches, check.seller.address) == (True, "3 Mill Row")


@pytest.mark.parametrize(
    ("more", "field", "words"),
    [
        ({"document": "other"}, "document_other", "what was shown"),
        ({"adult": ""}, "adult", "nobody under 18"),
        ({"shown": "otherwise", "name": "", "address": "x"}, "name", "Write the name"),
        ({"shown": "otherwise", "name": "x", "address": ""}, "address", "Write the address"),
        ({"shown": "otherwise", "name": "x", "address": "y"}, "difference", "Say why"),
        ({"document": "library card"}, "document", "valid choice"),
    ],
)
def test_what_is_wrong_about_the_seller_is_said_and_nothing_kept(desk, more, field, words):
    check = opened()
    response = desk.post(step("seller", check), SELLER | more)
    assert response.status_code == 422
    assert words in str(response.context["form"].errors[field])
    assert not SellerIdentity.objects.exists()


def test_a_number_is_not_asked_for_where_none_is_kept(desk):
    IdentityKeeping.objects.create(pk=1, number="none")
    page = desk.get(step("seller", opened())).content.decode()
    assert 'name="number"' not in page


def test_the_form_comes_back_with_what_is_kept(desk):
    check = opened()
    other = SELLER | {"shown": "otherwise", "name": "Ada M. Moss", "address": "3 Mill Row"}
    desk.post(step("seller", check), other | {"difference": "a middle name"})
    page = desk.get(step("seller", check)).content.decode()
    for words in ("Ada M. Moss", "a middle name", 'value="4567"'):
        assert words in page


# the frame number


def test_the_second_reader_is_not_shown_the_first_reading_nor_the_bikes_number(desk):
    check = opened(frame_number="LF-1234")
    read_frame(check, "LF1234", UserFactory.create())
    for name in ("frame", "check"):
        page = text_of(desk.get(url(name, check)))
        assert "LF1234" not in page
        assert "LF-1234" not in page
    assert "Second reading" in page


def test_readings_that_differ_are_said_and_the_second_is_not_kept(desk):
    check = opened(frame_number="LF1234")
    desk.post(url("frame", check), {"number": "LF1234"})
    response = desk.post(url("frame", check), {"number": "LF1Z34"})
    assert response.status_code == 422
    assert "not what was read first" in text_of(response)
    check.refresh_from_db()
    assert check.frame_second == ""
    desk.post(url("frame", check), {"anew": "1"})
    check.refresh_from_db()
    assert check.frame_first == ""


def test_the_bench_reads_the_frame_number_and_sees_no_seller(client):
    ShopFactory.create()
    check = complete()
    ProvenanceCheck.objects.update(frame_second="")
    sign_in(client)
    page = text_of(client.get(bike_page(check.bike)))
    assert "Read the frame number" in page
    assert "Ada Moss" not in page
    response = client.post(url("frame", check), {"number": check.bike.frame_number}, follow=True)
    assert response.redirect_chain[-1][0] == bike_page(check.bike)
    check.refresh_from_db()
    assert check.frame_second
    assert "Ada Moss" not in text_of(client.get(url("frame", check), follow=True))
    assert client.get(url("check", check)).status_code == 403


# registers


def test_the_countrys_prompts_stand_above_the_form(desk):
    ShopFactory.create()
    assert "police-approved national cycle register" in text_of(
        desk.get(step("register", opened()))
    )


@pytest.mark.parametrize(
    ("more", "field", "words"),
    [
        ({"result": "not_checked"}, "note", "Say why"),
        ({"on": "2999-01-01"}, "on", "not come yet"),
        ({"result": ""}, "result", "required"),
    ],
)
def test_what_is_wrong_about_the_register_is_said(desk, more, field, words):
    given = {"result": "not_listed", "on": "2026-01-01"} | more
    response = desk.post(step("register", opened()), given)
    assert response.status_code == 422
    assert words in str(response.context["form"].errors[field])


def test_a_bike_listed_as_stolen_is_refused_with_advice(desk):
    check = complete(register=RegisterResult.LISTED)
    page = text_of(desk.get(url("check", check)))
    assert "Keep calm" in page
    assert "Do not confront" in page
    assert "tell the police" in page
    desk.post(url("conclude", check), {"refuse": "1", "reason": "Listed as stolen."})
    check.refresh_from_db()
    assert (check.state, check.refusal) == (State.REFUSED, "Listed as stolen.")
    assert "Refused on" in text_of(desk.get(bike_page(check.bike)))


def test_other_proof_says_what_it_was(desk):
    response = desk.post(step("proof", opened()), {"proof": "other"})
    assert response.status_code == 422
    assert "note" in response.context["form"].errors


def test_a_refusal_without_a_reason_is_asked_for_one(desk):
    check = opened()
    response = desk.post(url("conclude", check), {"refuse": "1", "reason": ""})
    assert response.status_code == 422
    check.refresh_from_db()
    assert check.state == State.OPEN


def test_an_unsigned_declaration_is_not_noted_as_signed(desk):
    assert desk.post(step("statement", opened()), {}).status_code == 422


# what is concluded


@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("slug", ["seller", "proof", "register", "statement", "frame"])
def test_a_concluded_check_answers_that_it_stays(desk, slug, method):
    check = passed()
    where = url("frame", check) if slug == "frame" else step(slug, check)
    assert "is concluded and stays as it is" in text_of(getattr(desk, method)(where, follow=True))


def test_concluding_twice_changes_nothing(desk):
    check = refused()
    page = desk.post(url("conclude", check), follow=True)
    assert "stays as it is" in text_of(page)
    assert ProvenanceCheck.objects.get().state == State.REFUSED


def test_a_new_check_takes_the_place_of_a_concluded_one(desk):
    first = refused()
    desk.post(reverse("provenance:start", args=(first.bike_id,)))
    second = ProvenanceCheck.objects.first()
    page = text_of(desk.get(url("check", second)))
    assert url("check", first) in page
    panel = text_of(desk.get(bike_page(first.bike)))
    assert "Earlier checks: 1" in panel
    assert "check not finished" in panel


def test_a_bike_for_repair_has_no_provenance(desk):
    bike = BikeFactory.create(repair=True)
    assert "Provenance" not in text_of(desk.get(bike_page(bike)))
    page = desk.post(reverse("provenance:start", args=(bike.pk,)), follow=True)
    assert "brought for repair" in text_of(page)


def test_a_step_that_is_none_is_no_page(desk):
    assert desk.get(step("shoe-size", opened())).status_code == 404


def test_a_seller_whose_identity_was_deleted_is_said_to_be(desk):
    check = refused()
    SellerIdentity.objects.all().delete()
    assert "deleted since" in text_of(desk.get(url("check", check)))


# the declaration


def test_the_declaration_is_one_page_with_bike_and_seller(desk):
    answer = desk.get(url("declaration", complete()))
    assert answer["Content-Type"] == "application/pdf"
    (page,) = pages_of(answer.content)
    for words in ("Ada Moss", "3 Mill Row", "FN-", "I charge no VAT", "B0001"):
        assert words in page


def test_the_declaration_stays_one_page_with_the_longest_words(desk):
    name = "Maximiliane Theodora von und zu Hohenfels-Langenburg " * 2
    check = opened(
        customer=seller(name=name, address="A rather long line of an address\n" * 8),
        make="A very long make of sixty letters, as long as it can be made",
        model="A model name of eighty letters which nobody would ever paint on to a frame tube",
    )
    assert len(pages_of(desk.get(url("declaration", check)).content)) == 1


# what is kept


def test_the_settings_say_how_long_and_how_much(client):
    ShopFactory.create()
    rules(not_bought=6)
    sign_in(client, manager=True)
    where = reverse("provenance:settings")
    page = text_of(client.get(where))
    assert "6 months" in page
    assert "no rule: kept without end" in page
    assert client.post(where, {"number": "full", "law": ""}).status_code == 422
    assert client.post(where, {"number": "full", "law": "an act"}).status_code == 302
    assert IdentityKeeping.objects.get().law == "an act"


# queries


def test_the_pages_run_as_many_queries_for_many_checks_as_for_few(desk):
    check = passed()
    pages = [url("check", check), bike_page(check.bike)]
    refused(check.bike)
    few = [queries_of(desk, page) for page in pages]
    for _ in range(5):
        refused(check.bike)
    assert [queries_of(desk, page) for page in pages] == few
    assert few[0] < 15


def test_days_are_shown_in_words(desk):
    check = complete()
    day = timezone.localdate()
    assert f"{day.day} {day:%b %Y}" in text_of(desk.get(url("check", check)))
    assert isinstance(check.register_on, dt.date)
