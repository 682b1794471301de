"""Draws a part for a task, gives it back, and sets aside what has come in since."""

from __future__ import annotations

from decimal import Decimal

from django.db import transaction

from inventory.core.fitting import Answer
from inventory.stock.errors import StockError
from inventory.stock.models import plain
from inventory.stock.verbs.draw import draw
from inventory.stock.verbs.give_back import give_back
from workshop.bikes.fitting import fits_of
from workshop.core.cardstates import Action
from workshop.jobcards.errors import JobCardError, TaskStandsError
from workshop.jobcards.holding import done, held, permit, seen_before
from workshop.jobcards.models import Drawn, JobCard, TaskPart, TaskState
from workshop.jobcards.setting_aside import reference_of, set_aside
from workshop.people.models import User

MOST_FIT_REASON = 200


class PartError(JobCardError):
    """Raised where a part can't be drawn or given back; ``field`` names what it is about."""

    def __init__(self, message: str, field: str = "") -> None:
        self.field = field
        super().__init__(message)


@transaction.atomic
def draw_part(
    row: TaskPart,
    *,
    quantity: Decimal,
    by: User,
    key: str,
    serial: str = "",
    fit_reason: str = "",
) -> TaskPart:
    """Return the row with the quantity drawn: out of what is set aside first, then what is free.

    The same ``key`` again draws nothing. ``fit_reason`` is why a part is taken that does not fit
    by the sizes that are known; of any other it is not kept.

    Raises:
        PartError: there are not so many, more than is wanted is asked for, a safety-critical
            part has no serial or batch number, or one that does not fit has no reason.
        TaskStandsError: the task is stopped or no longer wanted.
        CardStateError: the card is not in work.
        KeyClashError: the key was used for something else.
    """
    card = held(row.task.card_id)
    fresh = _fresh(row)
    if seen_before(card, key, Action.DRAW, fresh.pk):
        return fresh
    if fresh.task.state in {TaskState.STOPPED, TaskState.DROPPED}:
        raise TaskStandsError(fresh.task)
    permit(card, Action.DRAW)
    _refuse_draw(fresh, quantity, serial)
    taken_although = _why_taken(fresh, fit_reason)
    reservation = fresh.reservation if fresh.reserved else None
    try:
        movement = draw(
            fresh.part,
            quantity=quantity,
            by=by,
            key=_key(card, key),
            reference=reference_of(fresh.task),
            reservation=reservation,
        )
    except StockError as error:
        raise PartError(str(error), "quantity") from error
    Drawn.objects.create(
        row=fresh,
        movement=movement,
        quantity=quantity,
        serial=serial,
        fit_reason=taken_although,
        by=by,
    )
    fresh.drawn += quantity
    fresh.save(update_fields=["drawn"])
    words = f"drew {plain(quantity)} {fresh.part.unit}: {fresh.part.name}"
    if taken_although:
        words += f", which does not fit by its sizes: {taken_although}"
    done(card, Action.DRAW, key=key, by=by, words=words, subject=fresh.pk)
    return _fresh(fresh)


@transaction.atomic
def give_part_back(row: TaskPart, *, quantity: Decimal, by: User, key: str) -> TaskPart:
    """Return the row with the quantity given back, of what was drawn last first.

    The same ``key`` again gives nothing back.

    Raises:
        PartError: not so many are out.
        CardStateError: the bike has been released.
        KeyClashError: the key was used for something else.
    """
    card = held(row.task.card_id)
    fresh = _fresh(row)
    if seen_before(card, key, Action.GIVE_BACK, fresh.pk):
        return fresh
    permit(card, Action.GIVE_BACK)
    if not 0 < quantity <= fresh.out:
        raise PartError(
            f"{fresh.part.name}: {plain(fresh.out)} {fresh.part.unit} are out; "
            f"{plain(quantity)} can't come back.",
            "quantity",
        )
    left = quantity
    for number, each in enumerate(fresh.draws.select_related("movement").order_by("-pk")):
        back = min(left, each.quantity - each.returned)
        if back:
            _back(each, back, by, f"{_key(card, key)}:{number}")
            left -= back
    fresh.returned += quantity
    fresh.save(update_fields=["returned"])
    words = f"gave back {plain(quantity)} {fresh.part.unit}: {fresh.part.name}"
    done(card, Action.GIVE_BACK, key=key, by=by, words=words, subject=fresh.pk)
    return fresh


@transaction.atomic
def reserve_parts(card: JobCard, *, by: User, key: str) -> JobCard:
    """Return the card with what has come in since set aside for it.

    Raises:
        CardStateError: the card is not in work.
        KeyClashError: the key was used for something else.
    """
    locked = held(card.pk)
    if seen_before(locked, key, Action.RESERVE):
        return locked
    permit(locked, Action.RESERVE)
    set_aside(locked, by)
    done(locked, Action.RESERVE, key=key, by=by, words="set aside what has come in")
    return locked


def _fresh(row: TaskPart) -> TaskPart:
    """Return the row as it is stored now."""
    rows = TaskPart.objects.select_related("part", "reservation", "task__card__bike")
    return rows.get(pk=row.pk)


def _key(card: JobCard, key: str) -> str:
    """Return the key of a stock movement."""
    return f"{card.number}:{key}"


def _back(drawn: Drawn, quantity: Decimal, by: User, key: str) -> None:
    """Give a quantity of one draw back."""
    try:
        give_back(drawn.movement, quantity=quantity, by=by, key=key)
    except StockError as error:
        raise PartError(str(error), "quantity") from error
    drawn.returned += quantity
    drawn.save(update_fields=["returned"])


def _refuse_draw(row: TaskPart, quantity: Decimal, serial: str) -> None:
    """Raise where the quantity or the number of a safety-critical part is not as it must be."""
    if quantity <= 0:
        raise PartError("Write how many, above 0.", "quantity")
    if quantity > row.may_draw:
        raise PartError(
            f"{row.part.name}: still to be drawn are {plain(row.may_draw)} {row.part.unit}, not "
            f"{plain(quantity)}. What the card does not ask for is extra work.",
            "quantity",
        )
    if row.part.safety_critical and not serial.strip():
        raise PartError(
            f"{row.part.name} is safety-critical: write its serial or batch number, or what "
            "stands on its packet.",
            "serial",
        )


def _why_taken(row: TaskPart, reason: str) -> str:
    """Return why a part is taken that surely does not fit the bike, "" where nothing says so."""
    fit = fits_of(row.task.card.bike, [row.part_id]).get(row.part_id)
    if fit is None or fit.answer is not Answer.NO:
        return ""
    if not reason.strip():
        raise PartError(
            f"{row.part.name} does not fit this bike: {fit.reasons[0]} Measure again. Where it "
            "is right all the same, write why; else leave it and tell the front desk.",
            "fit_reason",
        )
    return reason.strip()[:MOST_FIT_REASON]
