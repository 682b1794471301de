"""What the page of the release check shows: items, signatures, torques, what stands in the way."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.shortcuts import get_object_or_404

from workshop.core.cardstates import CardState
from workshop.core.cautions import UNSAFE_LEFT
from workshop.jobcards.afterwards import torque_words
from workshop.jobcards.models import (
    AfterReading,
    JobCard,
    ReleaseCheck,
    ReleaseItem,
    Task,
    TaskKind,
    TaskState,
)
from workshop.jobcards.signing import Standing, items_for, refusal_to_sign, standing_of
from workshop.people.models import User


@dataclass(frozen=True, slots=True)
class ItemView:
    """An item of the check with its signature, if there is one."""

    item: ReleaseItem
    check: ReleaseCheck | None


@dataclass(frozen=True, slots=True)
class TorqueView:
    """A torque to reach: the figure in both units, whose it is, what was reached last.

    ``maker_asked`` says that our figure holds although the maker's may be had: nobody has entered
    one.
    """

    task: str
    figure: str
    whose: str
    is_makers: bool
    reached: AfterReading | None


@dataclass(frozen=True, slots=True)
class ReleasePage:
    """All that the page shows; ``refusal`` is why the person may not sign, empty where they may."""

    card: JobCard
    items: tuple[ItemView, ...]
    standing: Standing
    refusal: str
    torques: tuple[TorqueView, ...]
    cautions: tuple[str, ...]

    @property
    def signed(self) -> int:
        """Return how many items are signed."""
        return sum(each.check is not None for each in self.items)

    @property
    def is_checking(self) -> bool:
        """Tell whether the card stands where items are signed."""
        return self.card.stands is CardState.CHECKING

    @property
    def may_sign(self) -> bool:
        """Tell whether the person may sign now."""
        return self.is_checking and not self.refusal

    @property
    def may_let_go(self) -> bool:
        """Tell whether nothing stands in the way of this person releasing the bike."""
        return self.may_sign and not self.standing.blocks

    @property
    def next_item(self) -> int | None:
        """Return the item (pk) to be signed next."""
        return next((each.item.pk for each in self.items if each.check is None), None)


def card_for_release(pk: int) -> JobCard:
    """Return a card with its bike, or answer 404."""
    rows = JobCard.objects.select_related("bike", "inspection", "released_by")
    return get_object_or_404(rows, pk=pk)


def release_page(card: JobCard, person: User) -> ReleasePage:
    """Return what the page shows, in a constant number of queries."""
    tasks = tuple(card.tasks.exclude(state=TaskState.DROPPED).order_by("position", "pk"))
    standing = standing_of(card) if card.is_open else Standing((), ())
    return ReleasePage(
        card=card,
        items=_items(card),
        standing=standing,
        refusal=refusal_to_sign(card, person) if card.is_open else "",
        torques=torques_of(card, tasks),
        cautions=_cautions(tasks, standing),
    )


def _items(card: JobCard) -> tuple[ItemView, ...]:
    """Return the items in order; once the bike has gone, those that were signed."""
    checks = {each.item_id: each for each in card.checks.select_related("item", "by")}
    if not card.is_open:
        return tuple(ItemView(each.item, each) for each in checks.values())
    return tuple(ItemView(each, checks.get(each.pk)) for each in items_for(card.bike))


def torques_of(card: JobCard, tasks: Iterable[Task]) -> tuple[TorqueView, ...]:
    """Return the torques of these tasks, each with what was reached last."""
    reached: dict[int, AfterReading] = {}
    rows = AfterReading.objects.filter(task__card=card, measure__isnull=True)
    for row in rows.select_related("by").order_by("pk"):
        reached[row.task_id] = row
    return tuple(
        TorqueView(
            task=task.name,
            figure=torque_words(*task.figure),
            whose=whose_figure(task),
            is_makers=task.figure != task.ours,
            reached=reached.get(task.pk),
        )
        for task in tasks
        if task.kind == TaskKind.WORK and (task.has_torque or task.pk in reached)
    )


def whose_figure(task: Task) -> str:
    """Return whose figure a task's torque is held to, and where it stands."""
    if not task.has_torque:
        return "no figure known"
    makers = task.figure != task.ours
    source = task.maker_source if makers else task.torque_source
    return f"{'the maker’s' if makers else 'ours'}{f': {source}' if source else ''}"


def _cautions(tasks: Iterable[Task], standing: Standing) -> tuple[str, ...]:
    """Return the cautions of the work that was done, and what goes out unsafe, first."""
    left = [UNSAFE_LEFT.format(what=each) for each in standing.declined_unsafe]
    own = (task.caution for task in tasks if task.caution)
    return tuple(dict.fromkeys((*left, *own)))
