"""Reading job cards for lists."""

from __future__ import annotations

from django.db.models import Count, F, Q, QuerySet

from workshop.core.cardstates import CardState
from workshop.jobcards.models import JobCard, TaskState

WANTED = ~Q(tasks__state=TaskState.DROPPED)
DONE = Q(tasks__state=TaskState.DONE)
STOPPED = Q(tasks__state=TaskState.STOPPED)


def cards_for_list() -> QuerySet[JobCard]:
    """Return all cards with their bikes and how many tasks are there, done and stopped."""
    rows = JobCard.objects.select_related("bike").annotate(
        tasks_count=Count("tasks", filter=WANTED),
        done_count=Count("tasks", filter=DONE),
        stopped_count=Count("tasks", filter=STOPPED),
    )
    return rows.order_by(F("promised_on").asc(nulls_last=True), "pk")


def open_cards() -> QuerySet[JobCard]:
    """Return the cards whose bikes are still here, by what was promised first."""
    return cards_for_list().exclude(state=CardState.RELEASED.value)
