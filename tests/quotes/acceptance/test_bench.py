"""Opening the job card of what was accepted, from the quote's page."""

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from quotes.acceptance.selectors import DECIDABLE
from quotes.acceptance.verbs.record import record_answer
from quotes.quoting.verbs.revise import revise
from quotes.quoting.verbs.send import send
from tests.factories.people import sign_in
from workshop.jobcards.models import JobCard

pytestmark = pytest.mark.django_db


def url(revision, name="acceptance:open_card"):
    return reverse(name, args=(revision.quote.number, revision.number))


def say_yes(revision, by):
    lines = [line.pk for line in revision.lines.all() if line.kind in DECIDABLE]
    record_answer(revision, decided_by="Ms Vane", by=by, accepted_lines=lines)


@pytest.fixture
def accepted(sent, manager):
    """Everything is accepted."""
    say_yes(sent, manager)
    sent.refresh_from_db()
    return sent


def test_the_quote_and_the_answer_lead_to_it(office, accepted):
    for name in ("quoting:revision", "acceptance:detail"):
        assert url(accepted) in office.get(url(accepted, name)).content.decode()


def test_a_mechanic_does_not_open_it(client, accepted):
    sign_in(client)
    assert client.get(url(accepted)).status_code == 403
    assert client.post(url(accepted)).status_code == 403


def test_the_page_says_what_can_be_promised(office, accepted):
    html = office.get(url(accepted)).content.decode()
    assert "It can be promised for" in html or "No day can be reckoned" in html


def test_it_opens_the_card_with_what_is_agreed(office, accepted):
    day = timezone.localdate() + dt.timedelta(days=3)
    answer = office.post(
        url(accepted), {"promised_on": day.isoformat(), "go_ahead_gross": "£25,50"}
    )
    card = JobCard.objects.get()
    assert answer.url == reverse("jobcards:card", args=(card.pk,))
    assert (card.promised_on, card.go_ahead_gross) == (day, Decimal("25.50"))
    assert card.opened_by == office.person
    for name in ("quoting:revision", "acceptance:detail"):
        html = office.get(url(accepted, name)).content.decode()
        assert answer.url in html
        assert url(accepted) not in html


def test_nothing_need_be_agreed(office, accepted):
    office.post(url(accepted), {})
    card = JobCard.objects.get()
    assert (card.promised_on, card.go_ahead_gross) == (None, None)


@pytest.mark.parametrize(
    "typed", [{"promised_on": "2020-01-01"}, {"go_ahead_gross": "-1"}, {"go_ahead_gross": "much"}]
)
def test_nonsense_opens_nothing(office, accepted, typed):
    answer = office.post(url(accepted), typed)
    assert answer.status_code == 422
    assert not JobCard.objects.exists()


def test_twice_leads_to_the_one_card(office, accepted):
    first = office.post(url(accepted), {})
    again = office.post(url(accepted), {})
    assert first.url == again.url
    assert JobCard.objects.count() == 1


def test_what_is_not_accepted_opens_nothing(office, sent):
    answer = office.post(url(sent), {}, follow=True)
    assert "there is no work to begin" in answer.content.decode()
    assert not JobCard.objects.exists()


def test_only_the_newest_answer_opens_it(office, accepted, manager):
    newer = revise(accepted.quote, manager)
    send(newer, manager)
    say_yes(newer, manager)
    assert url(accepted) not in office.get(url(accepted, "quoting:revision")).content.decode()
    office.post(url(accepted), {})
    assert not JobCard.objects.exists()
    office.post(url(newer), {})
    assert JobCard.objects.get().revision_number == 2


def test_the_bikes_page_and_the_first_page_lead_to_the_card(office, client, accepted):
    office.post(url(accepted), {})
    card = reverse("jobcards:card", args=(JobCard.objects.get().pk,))
    assert card in office.get(reverse("home")).content.decode()
    bike = reverse("bikes:detail", args=(accepted.quote.bike_id,))
    assert card in office.get(bike).content.decode()
