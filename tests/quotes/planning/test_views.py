"""Pages of the cheapest plan: who sees which, taking it, setting remedies by hand."""

from __future__ import annotations

import pytest
from django.urls import reverse

from inventory.parts.models import Part
from quotes.planning.models import LockKind, PlanLock, TakenPlan
from quotes.quoting.verbs.send import send
from tests.asking import queries_of
from tests.factories import quotes as made
from tests.factories.people import UserFactory, sign_in
from tests.factories.planning import bond, package
from tests.factories.stock import come_in
from workshop.labour.models import LabourRate
from workshop.shop.models import Shop

pytestmark = pytest.mark.django_db


def address(name, revision, *more):
    return reverse(f"planning:{name}", args=(revision.quote.number, revision.number, *more))


@pytest.fixture
def served(db):
    made.priced_shop()
    faults = [made.fault(f"f{n}", made.remedy(f"r{n}", minutes="20.0")) for n in range(3)]
    package("wheel-service", made.remedy("service", minutes="30.0"), *faults)
    return made.draft(*faults)


def test_the_manager_sees_what_costs_the_shop_least(client, served):
    sign_in(client, manager=True)
    text = client.get(address("plan", served)).content.decode()
    assert "at the shop’s cost" in text
    assert "£10.50" in text
    assert "Another choice for 3 findings saves £10.50." in text
    assert "package: wheel service" in text


def test_the_desk_sees_prices_only(client, served):
    sign_in(client, desk=True)
    for query in ("", "?by=cost"):
        text = client.get(address("plan", served) + query).content.decode()
        assert "£24.00" in text
        assert "£10.50" not in text
        assert "Least for the shop" not in text


def test_a_plan_is_taken_and_leads_to_the_quote(client, served):
    sign_in(client, desk=True)
    response = client.post(address("take", served), {"by": "price", "amount": "24.00"}, follow=True)
    assert "3 findings have another remedy now" in response.content.decode()
    assert TakenPlan.objects.get().by_cost is False
    text = client.get(address("plan", served)).content.decode()
    assert "has the cheapest sound plan already" in text
    assert "Take this plan" not in text


@pytest.mark.parametrize("amount", ["", "twelve", "23.99"])
def test_another_amount_than_the_plans_takes_nothing(client, served, amount):
    sign_in(client, manager=True)
    data = {"by": "price", "amount": amount}
    response = client.post(address("take", served), data, follow=True)
    assert "has changed since you looked" in response.content.decode()
    assert not TakenPlan.objects.exists()


def test_a_remedy_is_set_by_hand_and_taken_off_again(client, served):
    sign_in(client, manager=True)
    row = served.findings.first()
    page = client.get(address("lock", served, row.pk))
    assert page.status_code == 200
    assert "Service" in page.content.decode()
    data = {"remedy": row.remedy_id, "kind": LockKind.LOCK, "reason": "as agreed"}
    client.post(address("lock", served, row.pk), data)
    lock = PlanLock.objects.get()
    text = client.get(address("plan", served)).content.decode()
    assert "Set by hand: as agreed." in text
    client.post(address("unlock", served, lock.pk))
    assert not PlanLock.objects.exists()


def test_a_lock_without_reason_or_of_a_strange_remedy_is_refused(client, served):
    sign_in(client, manager=True)
    row, stranger = served.findings.first(), made.remedy("stranger")
    for data in (
        {"remedy": row.remedy_id, "kind": "lock", "reason": ""},
        {"remedy": stranger.pk, "kind": "lock", "reason": "why not"},
    ):
        assert client.post(address("lock", served, row.pk), data).status_code == 422
    assert not PlanLock.objects.exists()


def test_a_lock_of_another_quote_is_not_found(client, served):
    sign_in(client, manager=True)
    other = made.draft(made.fault("else", made.remedy("elsewhere")))
    row = other.findings.first()
    data = {"remedy": row.remedy_id, "kind": "lock", "reason": "here"}
    client.post(address("lock", other, row.pk), data)
    lock = PlanLock.objects.get()
    assert client.post(address("unlock", served, lock.pk)).status_code == 404


def test_a_conflict_is_told_in_words(client):
    made.priced_shop()
    one, other = made.remedy("one"), made.remedy("other")
    revision = made.draft(made.fault("f", one), made.fault("g", other))
    bond(one, "excludes", other, words="A hub takes one of them")
    sign_in(client, manager=True)
    text = client.get(address("plan", revision)).content.decode()
    assert "There is no plan" in text
    assert "A hub takes one of them" in text


def test_what_was_sent_is_not_planned_anew(client, served):
    sign_in(client, manager=True)
    send(served, UserFactory.create(manager=True), unfinished_ok=True)
    response = client.get(address("plan", served), follow=True)
    assert "a plan is made for a draft" in response.content.decode()


def test_without_a_rate_the_page_says_so(client, served):
    LabourRate.objects.all().delete()
    sign_in(client, manager=True)
    text = client.get(address("plan", served)).content.decode()
    assert "No labour rate for the band" in text


@pytest.fixture
def waited_for(db):
    """A draft for which a part is there for £12, and another for £10 must be ordered."""
    made.priced_shop()
    ways = [
        made.remedy(code, minutes="0.0", part=code, price_net=pounds, cost_net=pounds)
        for code, pounds in (("to-order", 10), ("on-shelf", 12))
    ]
    come_in(Part.objects.get(code="on-shelf"), 1)
    revision = made.draft(made.fault("rust", *ways))
    revision.findings.update(judgement="watch", importance="could")
    return revision


@pytest.mark.parametrize("person", ["manager", "desk"])
def test_the_page_says_what_waits_and_what_waiting_less_costs(client, waited_for, person):
    sign_in(client, **{person: True})
    text = " ".join(client.get(address("plan", waited_for)).content.decode().split())
    assert '<span class="under">on the shelf</span>' in text
    assert "Another choice for 1 finding costs £2.00 more: see why below." in text
    assert '<dt>Waiting less costs</dt> <dd class="big-number">£2.00</dd>' in text
    assert "with £1.00 reckoned for each working day that a part is waited for" in text
    assert "Waiting decided: the next best, “To order”, is £2.00 cheaper but waits about 5" in text


def test_a_plan_that_costs_more_and_waits_less_is_taken(client, waited_for):
    sign_in(client, desk=True)
    client.post(address("take", waited_for), {"by": "price", "amount": "12.00"})
    assert TakenPlan.objects.get().amount == 12
    text = client.get(address("plan", waited_for)).content.decode()
    assert "has the cheapest sound plan already" in text


def test_without_waiting_the_page_says_nothing_of_it(client, waited_for):
    Shop.objects.update(waiting_day_net=0)
    sign_in(client, manager=True)
    page = client.get(address("plan", waited_for)).content.decode()
    text = page.rpartition("</template>")[2]  # above stands what waits to be sent, on every page
    assert "wait" not in text
    assert "on the shelf" not in text


def test_a_large_plan_runs_as_many_queries_as_a_small_one(client):
    made.priced_shop()
    sign_in(client, manager=True)
    small = made.draft(*made.many(2, name="small"))
    large = made.draft(*made.many(14, name="large"))
    assert queries_of(client, address("plan", small)) == queries_of(client, address("plan", large))
