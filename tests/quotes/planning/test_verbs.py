"""Taking a plan into a draft, setting remedies by hand and taking that back."""

from __future__ import annotations

from decimal import Decimal

import pytest

from quotes.planning.models import LockKind, PlanLock, TakenPlan
from quotes.planning.plans import plan_for
from quotes.planning.verbs.lock import CannotLockError, lock_remedy
from quotes.planning.verbs.take import CannotTakeError, take_plan
from quotes.planning.verbs.unlock import unlock
from quotes.quoting.models import FrozenError, QuotedFinding, Revision
from quotes.quoting.selectors import worksheet_of
from quotes.quoting.verbs.choose import CannotChooseError, choose
from quotes.quoting.verbs.send import send
from tests.factories import quotes as made
from tests.factories.people import UserFactory
from tests.factories.planning import bond, package
from workshop.shop.selectors import current_shop

pytestmark = pytest.mark.django_db


@pytest.fixture
def boss():
    return UserFactory.create(manager=True)


@pytest.fixture
def served(db):
    """A draft with three findings that a package cures for less, and the package's remedy."""
    made.priced_shop()
    faults = [made.fault(f"f{n}", made.remedy(f"r{n}", minutes="20.0")) for n in range(3)]
    service = made.remedy("service", minutes="30.0")
    package("wheel-service", service, *faults)
    revision = made.draft(*faults)
    return Revision.objects.select_related("quote__bike").get(pk=revision.pk), service


def taken(revision, boss):
    amount = plan_for(revision, current_shop(), by_cost=False).amount
    return take_plan(revision, current_shop(), by_cost=False, amount=amount, by=boss)


def test_taking_a_plan_chooses_its_remedies_and_prices_the_draft(served, boss):
    revision, service = served
    assert revision.net == Decimal(48)
    kept = taken(revision, boss)
    revision.refresh_from_db()
    assert {row.remedy_id for row in revision.findings.all()} == {service.pk}
    assert all(row.remedy_chosen for row in revision.findings.all())
    assert revision.net == kept.amount == Decimal(24)
    assert revision.lines.count() == 1


def test_what_was_chosen_is_kept_with_its_reasons(served, boss):
    revision, service = served
    kept = taken(revision, boss)
    assert {choice["remedy"] for choice in kept.choices} == {service.pk}
    assert all("findings together" in choice["reason"] for choice in kept.choices)
    assert (kept.plain_sum, kept.by) == (Decimal(48), boss)


def test_a_plan_taken_is_no_choice_by_hand_and_gives_way_to_a_cheaper_one(served, boss):
    revision, service = served
    taken(revision, boss)
    step = service.steps.get().operation
    step.minutes = Decimal(200)
    step.save()
    page = plan_for(revision, current_shop(), by_cost=False)
    assert "service" not in {each.remedy.code for each in page.chosen}


def test_the_draft_can_be_priced_anew_with_the_package(served, boss):
    revision, _ = served
    taken(revision, boss)
    assert worksheet_of(revision).price().totals.whole.net == Decimal(24)


def test_a_plan_that_is_not_the_one_looked_at_is_not_taken(served, boss):
    revision, _ = served
    with pytest.raises(CannotTakeError, match="has changed"):
        take_plan(revision, current_shop(), by_cost=False, amount=Decimal(23), by=boss)
    assert not TakenPlan.objects.exists()
    assert set(revision.findings.values_list("remedy_chosen", flat=True)) == {False}


def test_without_a_plan_nothing_is_taken(boss):
    made.priced_shop()
    one, other = made.remedy("one"), made.remedy("other")
    revision = made.draft(made.fault("f", one), made.fault("g", other))
    bond(one, "excludes", other)
    with pytest.raises(CannotTakeError, match="cannot be cured together"):
        take_plan(revision, current_shop(), by_cost=True, amount=Decimal(0), by=boss)


def test_no_plan_is_taken_into_what_was_sent(served, boss):
    revision, _ = served
    amount = plan_for(revision, current_shop(), by_cost=False).amount
    send(revision, boss, unfinished_ok=True)
    with pytest.raises(FrozenError):
        take_plan(revision, current_shop(), by_cost=False, amount=amount, by=boss)


def test_a_package_is_refused_where_a_plan_does_not_offer_it(served, boss):
    revision, service = served
    row = revision.findings.first()
    with pytest.raises(CannotChooseError):
        choose(row, remedy=service, importance=row.importance, by=boss)


def test_a_lock_takes_the_place_of_the_one_before(served, boss):
    revision, service = served
    row = QuotedFinding.objects.select_related("revision__quote").get(revision=revision, position=1)
    own = row.remedy
    lock_remedy(row, service, LockKind.LOCK, reason="as ever", by=boss)
    lock_remedy(row, own, LockKind.LOCK, reason="no, this", by=boss)
    assert [(lock.remedy, lock.reason) for lock in PlanLock.objects.all()] == [(own, "no, this")]
    lock_remedy(row, own, LockKind.BAR, reason="not at all", by=boss)
    assert [lock.kind for lock in PlanLock.objects.all()] == [LockKind.BAR]


def test_a_lock_needs_a_reason(served, boss):
    revision, service = served
    row = revision.findings.first()
    with pytest.raises(CannotLockError):
        lock_remedy(row, service, LockKind.LOCK, reason="  ", by=boss)


def test_a_lock_is_taken_off_and_its_history_stays(served, boss):
    revision, service = served
    lock = lock_remedy(revision.findings.first(), service, LockKind.LOCK, reason="pitted", by=boss)
    unlock(lock, revision, by=boss)
    assert not PlanLock.objects.exists()
    assert [entry.history_type for entry in PlanLock.history.all()] == ["-", "+"]


def test_what_was_sent_is_neither_locked_nor_unlocked(served, boss):
    revision, service = served
    row = revision.findings.first()
    lock = lock_remedy(row, service, LockKind.LOCK, reason="pitted", by=boss)
    send(revision, boss, unfinished_ok=True)
    revision = Revision.objects.get(pk=revision.pk)
    row = revision.findings.first()
    with pytest.raises(FrozenError):
        lock_remedy(row, service, LockKind.LOCK, reason="again", by=boss)
    with pytest.raises(FrozenError):
        unlock(lock, revision, by=boss)


def test_a_page_opened_before_sending_neither_locks_nor_unlocks(served, boss):
    revision, service = served
    row = QuotedFinding.objects.select_related("revision__quote").get(revision=revision, position=1)
    lock = lock_remedy(row, service, LockKind.LOCK, reason="pitted", by=boss)
    send(Revision.objects.get(pk=revision.pk), boss, unfinished_ok=True)
    with pytest.raises(FrozenError):
        lock_remedy(row, service, LockKind.BAR, reason="again", by=boss)
    with pytest.raises(FrozenError):
        unlock(lock, revision, by=boss)
    assert PlanLock.objects.get() == lock
