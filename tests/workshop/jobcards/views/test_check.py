"""The pages of a card for the release check alone: no quote, no tasks, nothing broken."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.asking import queries_of
from tests.factories import jobcards as made
from tests.factories.people import CustomerFactory, UserFactory, sign_in
from tests.pdfs import words_of
from workshop.jobcards.models import JobCard, ReleaseSheet
from workshop.jobcards.verbs.release import release_bike
from workshop.jobcards.verbs.sign import sign
from workshop.jobcards.verbs.take_answer import take_answer

LABEL = "Look it over and release it"
ODD = ("revision 0", "revision None", "None", "0 of 0")


@pytest.fixture
def walk():
    return made.own_bike()


@pytest.fixture
def alone(walk):
    """A card for the check alone, with one item to be signed."""
    made.release_item("brakes")
    return made.open_check(walk.bike, by=UserFactory.create(desk=True))


def url(bike):
    return reverse("jobcards:open_check", args=(bike.pk,))


def bike_page(client, bike):
    return client.get(reverse("bikes:detail", args=(bike.pk,))).content.decode()


@pytest.mark.parametrize("role", ["manager", "desk", "mechanic"])
def test_the_bikes_page_has_the_button_and_it_opens_the_check(walk, role):
    client = Client()
    sign_in(client, role=role)
    page = bike_page(client, walk.bike)
    assert LABEL in page
    assert url(walk.bike) in page
    answer = client.post(url(walk.bike))
    card = JobCard.objects.get()
    assert answer.url == reverse("jobcards:release", args=(card.pk,))
    assert LABEL not in bike_page(client, walk.bike)


def test_who_only_reads_has_no_button_and_opens_nothing(client, walk):
    sign_in(client, role="accountant")
    assert LABEL not in bike_page(client, walk.bike)
    assert client.post(url(walk.bike)).status_code == 403
    assert not JobCard.objects.exists()


def test_a_customers_bike_has_no_button(bench, client):
    assert LABEL not in bike_page(client, made.inspected_bike().bike)


def test_what_is_unsafe_is_named_in_place_of_the_button(bench, client, walk):
    made.found(walk, "crack", name="Crown cracked")
    walk.checks.get().findings.update(judgement="unsafe", rule_judgement="unsafe")
    page = bike_page(client, walk.bike)
    assert "Crown cracked. Quote it and do the work." in page
    assert url(walk.bike) not in page
    answer = client.post(url(walk.bike), follow=True)
    assert "Crown cracked. Quote it and do the work." in answer.content.decode()
    assert not JobCard.objects.exists()


def test_asked_twice_it_leads_to_the_card_that_is_open(bench, client, alone):
    answer = client.post(url(alone.bike), follow=True)
    assert answer.redirect_chain[0][0] == reverse("jobcards:card", args=(alone.pk,))
    assert f"Job card {alone} is open for this bike" in answer.content.decode()


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("card", "none: for the release check alone"),
        ("release", "Not signed yet: 1 of the release check."),
        ("live", ""),
        ("parts", ""),
        ("extra", ""),
        ("pen", ""),
    ],
)
def test_each_page_of_the_card_shows_no_quote(client, alone, name, words):
    sign_in(client, manager=True)
    answer = client.get(reverse(f"jobcards:{name}", args=(alone.pk,)), {"version": 9})
    assert answer.status_code == 200
    page = answer.content.decode()
    assert words in page
    assert not [each for each in ODD if each in page]


def test_list_bike_board_and_first_page_say_what_it_is(client, alone):
    sign_in(client, manager=True)
    card = reverse("jobcards:card", args=(alone.pk,))
    for address in (reverse("jobcards:list"), reverse("home"), reverse("bench:board")):
        page = client.get(address).content.decode()
        assert card in page
        assert not [each for each in ODD if each in page]
    assert "release check alone" in client.get(reverse("jobcards:list")).content.decode()
    assert "For the release check alone." in bike_page(client, alone.bike)
    assert "To be checked" in client.get(reverse("bench:board"), {"by": "stop"}).content.decode()


def test_on_paper_it_is_the_check_alone(bench, client, alone):
    for size in ("a4", "a5"):
        paper = client.get(reverse("jobcards:print", args=(alone.pk,)), {"size": size})
        text = words_of(paper.content)
        assert "For the release check alone" in text
        assert "Brakes" in text
        assert "Standard time" not in text
        assert not [each for each in ODD if each in text]


def test_the_release_sheet_names_no_quote_no_work_and_no_seller():
    made.release_item("brakes")
    card = made.a_check(customer=CustomerFactory.create(name="Ottoline Weir"))
    by = UserFactory.create(manager=True)
    for item in made.ReleaseItem.objects.all():
        sign(card, item, by=by, key=made.a_key())
    release_bike(card, by=by, key=made.a_key())
    text = words_of(bytes(ReleaseSheet.objects.get().pdf))
    assert "Looked over and checked." in text
    assert "Brakes" in text
    for words in ("Ottoline Weir", "What was done", "Work as agreed in", *ODD):
        assert words not in text


def test_the_lists_and_the_card_take_no_more_queries(client, alone):
    sign_in(client, manager=True)
    pages = [reverse("jobcards:list"), reverse("home"), reverse("bench:board")]
    few = [queries_of(client, each) for each in pages]
    for _ in range(3):
        made.a_check()
    assert [queries_of(client, each) for each in pages] == few
    made.operation("hub")
    full = made.a_card(made.asked("hub"))
    for name in ("card", "release"):
        lean = queries_of(client, reverse(f"jobcards:{name}", args=(alone.pk,)))
        assert lean <= queries_of(client, reverse(f"jobcards:{name}", args=(full.pk,)))


def test_work_that_an_answer_brings_takes_the_place_of_the_words(bench, client, alone):
    page = reverse("jobcards:card", args=(alone.pk,))
    assert "No tasks: the card is for the release check alone." in client.get(page).content.decode()
    made.operation("hub")
    take_answer(alone, made.asked("hub"), by=UserFactory.create())
    fresh = reverse("jobcards:live", args=(alone.pk,))
    for shown in (client.get(page), client.get(fresh, {"version": alone.version})):
        html = shown.content.decode()
        assert "No tasks" not in html
        assert "0 of 1" in html
        assert "Q0001 revision 1" in html
