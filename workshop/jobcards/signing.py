"""Who may sign the release check, and what still stands in the way of letting a bike go."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from workshop.bikes.models import Bike
from workshop.core.judgement import Judgement
from workshop.inspections.models import Finding
from workshop.inspections.selectors import findings_of, latest_inspection
from workshop.jobcards.holding import UNDONE
from workshop.jobcards.models import (
    AfterReading,
    Declined,
    ExtraState,
    JobCard,
    ReleaseItem,
    Task,
    TaskKind,
    TaskState,
)
from workshop.people.models import Role, User

SIGNERS = frozenset({Role.MECHANIC, Role.MANAGER})
TWO = 2


@dataclass(frozen=True, slots=True)
class Standing:
    """How the release stands: what blocks it, and what was declined though unsafe or a must."""

    blocks: tuple[str, ...]
    declined_unsafe: tuple[Finding, ...]
    declined_must: tuple[Declined, ...] = ()

    @property
    def to_be_told(self) -> tuple[str, ...]:
        """Return what the customer must have been told before the bike leaves."""
        unsafe = [f"Unsafe, and declined by the customer: {each}." for each in self.declined_unsafe]
        must = [f"Must be done, and declined: {each}." for each in self.declined_must]
        return (*unsafe, *must)


def items_for(bike: Bike) -> list[ReleaseItem]:
    """Return what is looked at before this bike leaves, in order."""
    return [each for each in ReleaseItem.objects.filter(active=True) if each.applies_to(bike)]


def refusal_to_sign(card: JobCard, person: User) -> str:
    """Return why a person may not sign for a card; empty where they may.

    Mechanics and managers sign. Where the shop has two mechanics the one who did the work does
    not: whoever ticked more of it than another mechanic did leaves the check to that one.
    """
    if person.role not in SIGNERS:
        return "A mechanic or a manager signs the release check."
    mechanics = User.objects.filter(role=Role.MECHANIC, is_active=True).values_list("pk", flat=True)
    if len(mechanics) < TWO:
        return ""
    rows = card.tasks.filter(kind=TaskKind.WORK, state=TaskState.DONE)
    ticked = Counter(rows.values_list("done_by", flat=True))
    if ticked[person.pk] > min(ticked[pk] for pk in mechanics):
        return (
            "You did this work: somebody else looks it over before the bike leaves. Ask a "
            "mechanic who did none or less of it, or the manager."
        )
    return ""


def standing_of(card: JobCard) -> Standing:
    """Return what stands in the way of releasing a bike, and what was declined though unsafe."""
    unsafe = unsafe_left(card.bike)
    rows = list(card.declined.prefetch_related("findings"))
    declined = {each.pk for row in rows for each in row.findings.all()}
    open_unsafe = [each for each in unsafe if each.pk not in declined]
    blocks = [
        *_undone(card),
        *_waiting(card),
        *(f"Unsafe and not put right: {each}." for each in open_unsafe),
        *_bad_readings(card),
        *_unsigned(card),
    ]
    return Standing(
        tuple(blocks),
        tuple(each for each in unsafe if each.pk in declined),
        tuple(row for row in rows if row.is_must),
    )


def cured_on(bike: Bike) -> QuerySet[Task]:
    """Return the tasks that put findings of a bike right, on whichever card they were done."""
    return Task.objects.filter(
        card__bike=bike, kind=TaskKind.WORK, state=TaskState.DONE, findings__isnull=False
    )


def unsafe_left(bike: Bike) -> list[Finding]:
    """Return what the newest inspection found unsafe and no task that is done put right."""
    inspection = latest_inspection(bike)
    if inspection is None:
        return []
    rows = findings_of(inspection).filter(judgement=Judgement.UNSAFE.value)
    return list(rows.exclude(pk__in=cured_on(bike).values("findings")))


def _undone(card: JobCard) -> Sequence[str]:
    """Return that tasks are left, where there are any."""
    left = card.tasks.filter(state__in=UNDONE).count()
    return [f"Tasks are still to be done: {left}."] if left else []


def _waiting(card: JobCard) -> Sequence[str]:
    """Return that extra work waits for its answer, where it does."""
    rows = card.extras.filter(state=ExtraState.WAITING).select_related("finding__fault__checkpoint")
    return [f"Waits for the customer’s answer: {each}." for each in rows]


def _bad_readings(card: JobCard) -> Sequence[str]:
    """Return the latest readings after the repair with which no bike goes out."""
    latest: dict[tuple[int, int | None], AfterReading] = {}
    rows = AfterReading.objects.filter(task__card=card).exclude(task__state=TaskState.DROPPED)
    for each in rows.select_related("task", "measure").order_by("pk"):
        place = each.task_id if each.is_torque else 0
        latest[place, each.measure_id] = each
    return [
        f"{each.task.name}: {each.measure.name if each.measure else 'torque'} {each}, {each.words}."
        for each in latest.values()
        if each.is_unsafe
    ]


def _unsigned(card: JobCard) -> Sequence[str]:
    """Return that items are not signed, where there are any."""
    signed = set(card.checks.values_list("item_id", flat=True))
    left = [each for each in items_for(card.bike) if each.pk not in signed]
    return [f"Not signed yet: {len(left)} of the release check."] if left else []
