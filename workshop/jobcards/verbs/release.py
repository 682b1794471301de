"""Releases a bike: all tasks done, all of the check signed, nothing unsafe left unsaid."""

from __future__ import annotations

import datetime as dt

from django.db import transaction
from django.utils import timezone

from workshop.bikes.models import Stage
from workshop.bikes.verbs.stages import move_to
from workshop.core.cardstates import Action
from workshop.jobcards.errors import JobCardError
from workshop.jobcards.holding import done, held, permit, seen_before
from workshop.jobcards.models import JobCard, TimeSpan
from workshop.jobcards.setting_aside import free_all
from workshop.jobcards.signing import refusal_to_sign, standing_of
from workshop.jobcards.verbs.times import stop_spans
from workshop.people.models import User


class CannotReleaseError(JobCardError):
    """Raised where the bike may not go; ``reasons`` are plain sentences."""

    def __init__(self, *reasons: str) -> None:
        self.reasons = reasons
        super().__init__(" ".join(reasons))


class NotToldError(CannotReleaseError):
    """Raised where a person must first say that the customer was told of what is unsafe."""


@transaction.atomic
def release_bike(
    card: JobCard,
    *,
    by: User,
    key: str,
    next_check_on: dt.date | None = None,
    told_unsafe: bool = False,
) -> JobCard:
    """Return the card, released: times stopped, what is still set aside freed, the bike moved on.

    What is unsafe and was declined by the customer goes out only where ``told_unsafe`` says that
    they were told not to ride; the release sheet says so as well.

    Raises:
        CannotReleaseError: tasks, answers, signatures or safety stand in the way.
        NotToldError: something unsafe was declined and nobody says that the customer was told.
        CardStateError: the card is not to be checked.
        StageError: the bike is not in work.
        KeyClashError: the key was used for something else.
    """
    locked = held(card.pk)
    if seen_before(locked, key, Action.RELEASE):
        return locked
    permit(locked, Action.RELEASE)
    standing = standing_of(locked)
    if standing.blocks:
        raise CannotReleaseError(*standing.blocks)
    if why := refusal_to_sign(locked, by):
        raise CannotReleaseError(why)
    if standing.declined_unsafe and not told_unsafe:
        names = "; ".join(map(str, standing.declined_unsafe))
        raise NotToldError(f"Unsafe, and declined by the customer: {names}.")
    stop_spans(TimeSpan.objects.filter(task__card=locked))
    free_all(locked)
    locked.released_by, locked.released_at = by, timezone.now()
    locked.next_check_on = next_check_on
    done(locked, Action.RELEASE, key=key, by=by, words="released")
    move_to(locked.bike, Stage.RELEASED)
    return locked
