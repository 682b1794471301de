"""What job cards wait for, as the stock asks, and what becomes of parts that come in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.db.models import F, QuerySet
from django.urls import reverse

from inventory.stock.models import StockMovement
from inventory.stock.wants import Want
from workshop.core.cardstates import CardState
from workshop.jobcards.models import JobCard, TaskPart
from workshop.jobcards.setting_aside import WANTING, reference_of


def short_rows(parts: Iterable[int] | None = None) -> QuerySet[TaskPart]:
    """Return the parts that open cards want and have neither drawn nor set aside in full."""
    rows = TaskPart.objects.filter(task__state__in=WANTING, wanted__gt=F("drawn"))
    rows = rows.exclude(task__card__state=CardState.RELEASED.value)
    rows = rows.exclude(reservation__left__gte=F("wanted") - F("drawn"))
    if parts is not None:
        rows = rows.filter(part__in=list(parts))
    return rows.select_related("task__card__bike", "reservation")


def wants(parts: Iterable[int] | None = None) -> Iterator[Want]:
    """Yield what cards wait for of some parts, or of all, in one query."""
    for row in short_rows(parts):
        card = row.task.card
        url = reverse("jobcards:card", args=(card.pk,))
        yield Want(row.part_id, row.short, reference_of(row.task), card.promised_on, url)


def came_in(movement: StockMovement) -> None:
    """Set what came in aside for the cards that wait for it, what is promised first before."""
    from workshop.jobcards.verbs.set_aside_come_in import set_aside_come_in

    cards = short_rows([movement.part_id]).values_list("task__card", flat=True).order_by()
    for card in JobCard.objects.filter(pk__in=cards).order_by(
        F("promised_on").asc(nulls_last=True), "pk"
    ):
        set_aside_come_in(card, movement)
