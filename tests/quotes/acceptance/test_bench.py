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
from tests.factories import bench
from tests.factories.people import sign_in
from workshop.bench.models import GivenPromise, SpecialDay
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
    bench.settings()
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


def reckoned(office, accepted):
    """Return the day that the page offers, with somebody at the bench on all days."""
    bench.settings()
    bench.at_bench(weekdays=range(7))
    return office.get(url(accepted)).context["promise"].day


def test_what_was_reckoned_is_kept_beside_the_day_promised(office, accepted):
    day = reckoned(office, accepted) + dt.timedelta(days=7)
    office.post(url(accepted), {"promised_on": day.isoformat()})
    given = GivenPromise.objects.get()
    assert given.card == JobCard.objects.get()
    assert (given.promised_on, given.why, given.by) == (day, "", office.person)
    assert given.reckoned_on < day
    assert "standard minutes" in given.reasons
    page = office.get(reverse("bench:promise", args=(given.card_id,))).content.decode()
    assert "Promised so far" in page


def test_an_earlier_day_is_promised_for_a_reason(office, accepted):
    SpecialDay.objects.create(
        first=timezone.localdate() + dt.timedelta(days=1),
        last=timezone.localdate() + dt.timedelta(days=30),
        reason="Works holiday",
    )
    bench.settings()
    bench.at_bench(weekdays=range(7), starts=0, ends=1)
    early = {"promised_on": timezone.localdate().isoformat()}
    refused = office.post(url(accepted), early)
    assert refused.status_code == 422
    assert "why" in refused.context["form"].errors
    assert not JobCard.objects.exists()
    office.post(url(accepted), early | {"why": "the customer leaves tonight"})
    assert GivenPromise.objects.get().why == "the customer leaves tonight"


def test_a_closed_day_is_not_promised(office, accepted):
    bench.settings()
    day = timezone.localdate() + dt.timedelta(days=3)
    SpecialDay.objects.create(first=day, last=day, reason="Works holiday")
    refused = office.post(url(accepted), {"promised_on": day.isoformat()})
    assert "Works holiday" in refused.content.decode()
    assert refused.status_code == 422
    assert not JobCard.objects.exists()


def test_without_hours_no_reason_is_asked(office, accepted):
    bench.settings()
    day = timezone.localdate() + dt.timedelta(days=1)
    office.post(url(accepted), {"promised_on": day.isoformat()})
    given = GivenPromise.objects.get()
    assert (given.promised_on, given.reckoned_on, given.why) == (day, None, "")


def test_without_a_day_no_promise_is_kept(office, accepted):
    reckoned(office, accepted)
    office.post(url(accepted), {})
    assert JobCard.objects.exists()
    assert not GivenPromise.objects.exists()


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
