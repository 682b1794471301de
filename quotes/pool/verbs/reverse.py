"""Takes an entry of the pool back, by another entry with the same amount below zero."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from quotes.pool.models import PoolEntry
from quotes.pool.selectors import COMES_IN, declared_until, left_since, stands_in_pool
from quotes.pool.verbs.locking import PoolError, locked
from quotes.pool.words import in_words
from workshop.people.models import User

LONGEST = 200


@transaction.atomic
def reverse_entry(entry: PoolEntry, *, reason: str, by: User) -> PoolEntry:
    """Return the entry that takes another one back.

    It bears the same day while that day's period is open; once that has been declared, it bears
    today's and lowers the period that runs.

    Raises:
        PoolError: it takes something back itself, has been taken back, says no reason, or its
            bike has gone out of the pool since.
    """
    locked()
    if entry.reverses_id:
        raise PoolError("This takes another entry back. Enter that one anew instead.")
    if PoolEntry.objects.filter(reverses=entry).exists():
        raise PoolError("This has been taken back already.")
    if not reason.strip():
        raise PoolError("Say why it is taken back.")
    until = declared_until()
    is_declared = until is not None and entry.date <= until
    if is_declared and left_since(PoolEntry.objects.values_list("date", "kind", "amount")):
        raise PoolError("The pool is closed and declared: this stays. Ask your accountant.")
    if entry.bike and entry.kind in COMES_IN and not stands_in_pool(entry.bike):
        raise PoolError(f"{entry.bike} went out of the pool later. Take that entry back first.")
    taken_back = PoolEntry(
        date=timezone.localdate() if is_declared else entry.date,
        kind=entry.kind,
        bike=entry.bike,
        amount=-entry.amount,
        description=f"Taken back, {in_words(entry.date)}: {reason.strip()}"[:LONGEST],
        reverses=entry,
        by=by,
    )
    taken_back.save()
    return taken_back
