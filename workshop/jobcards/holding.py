"""What all verbs of this room share: the card held still, a key used once, the state moved on."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone

from workshop.core.cardstates import Action, after, settled
from workshop.jobcards.errors import KeyClashError
from workshop.jobcards.models import CardEvent, JobCard, TaskState
from workshop.people.models import User

MOST_WORDS = 240
TOLD_AT_ONCE = dt.timedelta(minutes=1)
UNDONE = (TaskState.TO_DO, TaskState.STOPPED)


def held(card_id: int) -> JobCard:
    """Return the card as it stands now, locked until the transaction ends.

    Every verb locks its card first and parts after it, so that none waits for another in a ring.
    """
    rows = JobCard.objects.select_for_update(of=("self",)).select_related("bike", "inspection")
    return rows.get(pk=card_id)


def seen_before(card: JobCard, key: str, action: Action, subject: int = 0) -> bool:
    """Tell whether the same was done under this key before: sent twice, done once.

    Raises:
        KeyClashError: the key was used for something else.
    """
    found = card.events.filter(key=key).first()
    if found is None:
        return False
    if (found.action, found.subject) != (action.value, subject):
        raise KeyClashError
    return True


def permit(card: JobCard, action: Action) -> None:
    """See that the action is one for the card as it stands.

    Raises:
        CardStateError: it is not.
    """
    after(card.stands, action)


def done(
    card: JobCard, action: Action, *, key: str, by: User, words: str, subject: int = 0
) -> None:
    """Keep that something was done, and move the card on to where that leads.

    Raises:
        CardStateError: the action is not one for the card as it stands.
    """
    moved = after(card.stands, action)
    if action is not Action.RELEASE:
        moved = settled(moved, card.tasks.filter(state__in=UNDONE).count())
    card.state = moved.value
    card.version += 1
    card.save()
    CardEvent.objects.create(
        card=card, key=key, action=action.value, subject=subject, words=words[:MOST_WORDS], by=by
    )


def moment_of(card: JobCard, at: dt.datetime | None) -> dt.datetime:
    """Return when something was done: ``at``, where it was done without a connection, else now.

    Never before the card was opened, and never in the future.
    """
    now = timezone.now()
    return now if at is None else min(now, max(at, card.opened_at))


def late(moment: dt.datetime) -> str:
    """Return words that say when it was done, where it was told more than a minute later."""
    if timezone.now() - moment < TOLD_AT_ONCE:
        return ""
    local = timezone.localtime(moment)
    day = "" if local.date() == timezone.localdate() else f"{local:%d.%m.} "
    return f" (at {day}{local:%H:%M}, without a connection)"
