"""What the verbs of the pool share: the lock on it, and the refusal to change what is declared."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone

from quotes.pool.models import Pool, PoolEntry
from quotes.pool.selectors import declared_until, left_since
from quotes.pool.words import in_words


class PoolError(Exception):
    """Raised where something can't be done with the pool; the message says what to do instead."""


def locked() -> Pool:
    """Return the pool, locked until the transaction ends, so that writers wait for one another.

    Raises:
        PoolError: the shop does not pool.
    """
    pool = Pool.objects.select_for_update().filter(pk=1).first()
    if pool is None:
        raise PoolError("The shop does not use global accounting yet. Set it up first.")
    return pool


def refuse_day(pool: Pool, day: dt.date) -> None:
    """See that an entry may bear a day.

    Raises:
        PoolError: it lies in the future, before joining, after leaving or in a declared period.
    """
    if day > timezone.localdate():
        raise PoolError(f"{in_words(day)} has not come yet. Enter it when it has happened.")
    if day < pool.joined_on:
        raise PoolError(
            f"The pool began on {in_words(pool.joined_on)}. What happened before that is sold "
            "article by article, or stands in the stock on joining."
        )
    left = left_since(PoolEntry.objects.values_list("date", "kind", "amount"))
    if left and day > left:
        raise PoolError(
            f"The shop left the pool on {in_words(left)}: nothing is entered after that day."
        )
    until = declared_until()
    if until and day <= until:
        raise PoolError(
            f"The periods up to {in_words(until)} have been declared. "
            "Give it a later day and say in the description when it happened."
        )
