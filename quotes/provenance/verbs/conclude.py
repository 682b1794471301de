"""Concludes a provenance check: passed, or refused with a reason. It stays so."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from quotes.provenance.models import ProvenanceCheck, State
from quotes.provenance.standing import lacking
from quotes.provenance.verbs.locking import locked
from workshop.people.models import User


class CannotConcludeError(Exception):
    """Raised where a check can't be concluded; ``reasons`` are plain sentences."""

    def __init__(self, *reasons: str) -> None:
        self.reasons = reasons
        super().__init__(" ".join(reasons))


@transaction.atomic
def pass_check(check: ProvenanceCheck, by: User) -> ProvenanceCheck:
    """Return the check, passed.

    Raises:
        ConcludedError: it is concluded.
        CannotConcludeError: something is missing or speaks against the bike.
    """
    check = locked(check)
    reasons = lacking(check)
    if check.seller_id != check.bike.customer_id:
        reasons.append("The bike has another seller now. Refuse this check and begin a new one.")
    if reasons:
        raise CannotConcludeError(*reasons)
    return concluded(check, State.PASSED, by)


@transaction.atomic
def refuse(check: ProvenanceCheck, *, reason: str, by: User) -> ProvenanceCheck:
    """Return the check, refused, however much of it has been done.

    Raises:
        ConcludedError: it is concluded.
        CannotConcludeError: no reason is given.
    """
    check = locked(check)
    if not reason.strip():
        raise CannotConcludeError("Say why the bike is refused.")
    check.refusal = reason.strip()
    return concluded(check, State.REFUSED, by)


def concluded(check: ProvenanceCheck, state: State, by: User) -> ProvenanceCheck:
    """Save a check as concluded."""
    check.state, check.concluded_by, check.concluded_at = state, by, timezone.now()
    check.save()
    return check
