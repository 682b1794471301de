"""Notes what shows that the seller bought the bike."""

from __future__ import annotations

from django.db import transaction

from quotes.provenance.models import ProvenanceCheck
from quotes.provenance.verbs.locking import locked


@transaction.atomic
def note_proof(check: ProvenanceCheck, *, proof: str, note: str = "") -> ProvenanceCheck:
    """Return the check with the proof noted; raises ConcludedError where it is concluded."""
    check = locked(check)
    check.proof, check.proof_note = proof, note
    check.save()
    return check
