"""Promises a customer a day, and keeps what was reckoned then beside it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from workshop.bench.calendar import closed_days, settings_now
from workshop.bench.errors import BenchError
from workshop.bench.models import GivenPromise, WorkingHours
from workshop.core.promise import Promise, day_words
from workshop.jobcards.holding import held
from workshop.jobcards.models import JobCard
from workshop.people.models import User
from workshop.shop.selectors import current_shop

MOST_REASONS = 2000
MOST_WHY = 120


@transaction.atomic
def give_promise(
    card: JobCard, day: dt.date, *, reckoned: Promise, by: User, why: str = ""
) -> GivenPromise:
    """Return the promise given: the card is promised for the day from now on.

    ``reckoned`` is what was reckoned for the card. A day before that is promised for a reason;
    where nobody has hours at the bench nothing is reckoned, so that none is asked.

    Raises:
        BenchError: the bike has been released, the day is past or closed, or there is no reason.
    """
    locked = held(card.pk)
    if not locked.is_open:
        raise BenchError(f"Job card {locked} is released: there is nothing left to promise.")
    if day < timezone.localdate():
        raise BenchError(f"{day_words(day)} is past. Promise today or a later day.", "promised_on")
    closed = closed_days(day, day, current_shop(), settings_now())
    if day in closed:
        raise BenchError(
            f"{day_words(day)} is closed: {closed[day]}. Promise another day.", "promised_on"
        )
    if not why.strip() and _is_earlier(day, reckoned):
        then = day_words(reckoned.day) if reckoned.day else "no day within half a year"
        raise BenchError(
            f"As things stand it is done by {then}. Say why it can be promised earlier.", "why"
        )
    locked.promised_on = day
    locked.version += 1
    locked.save(update_fields=["promised_on", "version"])
    return GivenPromise.objects.create(
        card=locked,
        promised_on=day,
        reckoned_on=reckoned.day,
        share=Decimal(str(reckoned.share)),
        reasons="\n".join(reckoned.reasons)[:MOST_REASONS],
        why=why.strip()[:MOST_WHY],
        by=by,
    )


def _is_earlier(day: dt.date, reckoned: Promise) -> bool:
    """Tell whether a day lies before the one that was reckoned."""
    if reckoned.day is None:
        return WorkingHours.objects.exists()
    return day < reckoned.day
