"""Signs an item of the release check, and takes a signature back."""

from __future__ import annotations

from django.db import transaction

from workshop.core.cardstates import Action
from workshop.jobcards.errors import JobCardError, KeyClashError
from workshop.jobcards.holding import done, held, permit, seen_before
from workshop.jobcards.models import JobCard, ReleaseCheck, ReleaseItem
from workshop.jobcards.signing import items_for, refusal_to_sign
from workshop.people.models import User


class SignError(JobCardError):
    """Raised where an item can't be signed: not for this bike, or not by this person."""


@transaction.atomic
def sign(card: JobCard, item: ReleaseItem, *, by: User, key: str, note: str = "") -> ReleaseCheck:
    """Return the signature; what somebody has signed already stays theirs.

    Raises:
        SignError: the item is not for this bike, or another person must sign.
        CardStateError: the card is not to be checked.
        KeyClashError: the key was used for something else, or the signature was taken back since.
    """
    locked = held(card.pk)
    again = seen_before(locked, key, Action.SIGN, item.pk)
    signed = locked.checks.filter(item=item).select_related("by").first()
    if signed is not None:
        return signed
    if again:  # signed under this key and taken back since
        raise KeyClashError
    permit(locked, Action.SIGN)
    if item.pk not in {each.pk for each in items_for(locked.bike)}:
        raise SignError(f"“{item}” is not checked on this bike.")
    if why := refusal_to_sign(locked, by):
        raise SignError(why)
    signed = ReleaseCheck.objects.create(card=locked, item=item, note=note.strip()[:200], by=by)
    done(locked, Action.SIGN, key=key, by=by, words=f"signed: {item}", subject=item.pk)
    return signed


@transaction.atomic
def unsign(card: JobCard, item: ReleaseItem, *, by: User, key: str) -> None:
    """Take a signature back; where there is none nothing changes.

    Raises:
        CardStateError: the card is not to be checked.
        KeyClashError: the key was used for something else.
    """
    locked = held(card.pk)
    if seen_before(locked, key, Action.UNSIGN, item.pk):
        return
    permit(locked, Action.UNSIGN)
    if locked.checks.filter(item=item).delete()[0]:
        words = f"signature back: {item}"
        done(locked, Action.UNSIGN, key=key, by=by, words=words, subject=item.pk)
