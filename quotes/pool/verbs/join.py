"""Sets the pool up, and changes how its periods run while nothing has been declared."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from quotes.pool.models import Pool, PoolEntry, PoolReturn
from quotes.pool.verbs.locking import PoolError
from quotes.pool.words import in_words


@transaction.atomic
def join_pool(*, joined_on: dt.date, months: int, begins_in: int) -> Pool:
    """Return the pool, from a day on, with tax periods of so many months.

    Raises:
        PoolError: a period has been declared, or entries lie before the day.
        ValidationError: a value is not one that a pool can have.
    """
    pool = Pool.objects.select_for_update().filter(pk=1).first() or Pool(pk=1)
    if PoolReturn.objects.exists():
        raise PoolError(
            "A period has been declared, so the periods stay as they run. "
            "To change them, leave the pool at the end of a period and ask your accountant."
        )
    first = PoolEntry.objects.order_by("date").values_list("date", flat=True).first()
    if first and first < joined_on:
        raise PoolError(
            f"There is an entry of {in_words(first)}. Choose that day or an earlier one."
        )
    pool.joined_on, pool.months, pool.begins_in = joined_on, months, begins_in
    pool.full_clean()
    pool.save()
    return pool
