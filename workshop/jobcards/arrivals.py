"""What the first page tells the bench: parts that have come in and are set aside for a card."""

from __future__ import annotations

import datetime as dt

from django.db.models import Exists, OuterRef, QuerySet
from django.http import HttpRequest
from django.utils import timezone

from workshop.core.cardstates import CardState
from workshop.jobcards.models import CardEvent, TaskPart
from workshop.jobcards.verbs.set_aside_come_in import ARRIVED
from workshop.people.panels import Panel
from workshop.people.policy import allowed
from workshop.people.selectors import person_of

TOLD_FOR_DAYS = 7
MOST = 10


def arrivals() -> QuerySet[CardEvent]:
    """Return what has come in of late for open cards and is set aside and not drawn yet."""
    kept = TaskPart.objects.filter(
        task__card=OuterRef("card"), part=OuterRef("subject"), reservation__left__gt=0
    )
    since = timezone.now() - dt.timedelta(days=TOLD_FOR_DAYS)
    rows = CardEvent.objects.filter(Exists(kept), key__startswith=ARRIVED, at__gte=since)
    return rows.exclude(card__state=CardState.RELEASED.value).select_related("card__bike")


def come_in_panel(request: HttpRequest) -> Panel | None:
    """Return what has come in, for those who work at the bench or speak with the customer."""
    if not allowed(person_of(request).role, "purchasing:goods_in"):
        return None
    shown = list(arrivals()[:MOST])
    if not shown:
        return None
    return Panel("Parts have come in", "workshop/jobcards/come_in.html", {"arrivals": shown}, 8)
