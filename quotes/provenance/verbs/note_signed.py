"""Notes that the seller signed the declaration."""

from __future__ import annotations

from django.db import transaction

from quotes.provenance.models import ProvenanceCheck
from quotes.provenance.verbs.locking import locked
from workshop.people.models import User


@transaction.atomic
def note_signed(check: ProvenanceCheck, *, signed: bool, by: User) -> ProvenanceCheck:
    """Return the check with the signature noted; raises ConcludedError where it is concluded."""
    check = locked(check)
    check.signed, check.signed_seen_by = signed, by if signed else None
    check.save()
    return check
