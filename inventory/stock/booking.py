"""What all verbs of the ledger share: one lock, one key, costs put right, the level kept."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal

from django.db import connection
from django.db.transaction import TransactionManagementError
from django.utils import timezone
from django.utils.formats import date_format

from inventory.core.costing import BelowZeroError, Method
from inventory.parts.models import Part
from inventory.shopfacts import money_unit
from inventory.stock.errors import KeyUsedError, NotEnoughError, StockError
from inventory.stock.ledger import Held, costed, held, ledger_of
from inventory.stock.models import (
    MovementKind,
    Reservation,
    StockLevel,
    StockMovement,
    StockSettings,
    plain,
)
from inventory.stock.wants import tell

HUNDREDTH = Decimal("0.01")
MOST = Decimal(999_999)
SHOWN_RESERVATIONS = 3


def lock(part: Part) -> StockLevel:
    """Return the part's level, locked until the transaction ends.

    Raises:
        TransactionManagementError: the caller has no transaction open.
    """
    if not connection.in_atomic_block:
        raise TransactionManagementError("Book stock inside transaction.atomic().")
    if not StockLevel.objects.filter(part=part).exists():
        settings = StockSettings.objects.filter(pk=1).first() or StockSettings()
        StockLevel.objects.get_or_create(part=part, defaults={"method": settings.method})
    level = StockLevel.objects.select_for_update().get(part=part)
    level.part = part
    return level


def booked_before(draft: StockMovement) -> StockMovement | None:
    """Return the movement that has the draft's key already.

    Raises:
        KeyUsedError: it is another one.
    """
    found = StockMovement.objects.filter(key=draft.key).first()
    if found is None:
        return None
    same = (found.part_id, found.kind) == (draft.part_id, draft.kind)
    if not same or (found.quantity != draft.quantity and draft.kind != MovementKind.COUNT):
        raise KeyUsedError(draft.key)
    return found


def checked_quantity(quantity: Decimal) -> Decimal:
    """Return a quantity that can be booked.

    Raises:
        StockError: it is not above zero, too large or too fine.
    """
    if not 0 < quantity <= MOST or quantity % HUNDREDTH:
        raise StockError(
            f"{plain(quantity)} can't be booked. "
            "Write a quantity above 0 with at most two decimals."
        )
    return quantity


def checked_time(at: dt.datetime | None) -> dt.datetime:
    """Return when it happened; now where nobody says.

    Raises:
        StockError: it lies ahead.
    """
    now = timezone.now()
    if at is not None and at > now:
        raise StockError(
            f"{date_format(timezone.localtime(at))} lies ahead. Write a day up to today."
        )
    return at or now


def book(
    level: StockLevel, draft: StockMovement, ledger: Sequence[StockMovement] | None = None
) -> StockMovement:
    """Save a movement, put right what later issues cost, keep the level; return the movement.

    ``level`` is locked; its ``reserved`` may have been lowered by what the movement draws. The
    value of what goes out is reckoned here, of what comes in it stands in the draft. Who waits for
    parts is told of what comes in.

    Raises:
        NotEnoughError: there is not enough, now or at the time of a later movement.
    """
    before = ledger_of(level.part_id) if ledger is None else ledger
    rows = held([*before, draft])
    if draft.kind == MovementKind.REVERSAL:
        draft.save()
    settle(level, rows, draft)
    if draft.quantity > 0:
        tell(draft)
    return draft


def settle(level: StockLevel, rows: Sequence[Held], cause: StockMovement) -> None:
    """Cost the movements anew, save the cause, book what differs, keep the level.

    Raises:
        NotEnoughError: at some time more would have gone out than there was.
    """
    try:
        result = costed(rows, Method(level.method), money_unit())
    except BelowZeroError as error:
        raise not_enough(level, rows[error.place].movement, cause, error.there) from error
    if result.quantity_left < level.reserved:
        raise not_enough(level, cause, cause, level.on_hand)
    for row, value in zip(rows, result.values, strict=True):
        if row.movement is cause:
            row.movement.value = value
            row.movement.save()
    corrections = [
        correction(row, value, cause)
        for row, value in zip(rows, result.values, strict=True)
        if row.movement is not cause and row.value != value
    ]
    StockMovement.objects.bulk_create(corrections)
    level.on_hand, level.value = result.quantity_left, result.value_left
    level.save()


def correction(row: Held, value: Decimal, cause: StockMovement) -> StockMovement:
    """Return the revaluation that brings an issue to the value it has now."""
    wrong = row.movement
    return StockMovement(
        part_id=wrong.part_id,
        kind=MovementKind.REVALUATION,
        quantity=Decimal(0),
        value=value - row.value,
        at=wrong.at,
        by_id=cause.by_id,
        reference=cause.reference,
        corrects=wrong,
        key=f"revaluation:{wrong.pk}:{cause.pk}",
    )


def not_enough(
    level: StockLevel, failing: StockMovement, cause: StockMovement, there: Decimal
) -> NotEnoughError:
    """Return the error that tells what is missing and when."""
    unit, name = level.part.unit, level.part.name
    if failing is not cause:
        day = date_format(timezone.localtime(failing.at), "j F Y")
        return NotEnoughError(
            f"{name}: {plain(-failing.quantity)} {unit} went out on {day}, and only "
            f"{plain(there)} would have been there then. Check the day, or take that movement back."
        )
    open_ones = list(Reservation.objects.filter(part_id=level.part_id, left__gt=0))
    kept = sum((each.left for each in open_ones), Decimal(0))
    words = ", ".join(each.reference for each in open_ones[:SHOWN_RESERVATIONS])
    more = " and others" if len(open_ones) > SHOWN_RESERVATIONS else ""
    held_for = f", {plain(kept)} of them reserved for {words}{more}" if open_ones else ""
    return NotEnoughError(f"{name}: only {plain(there)} {unit} on hand{held_for}.")
