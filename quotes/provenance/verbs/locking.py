"""What the verbs of this room share: the lock on an open check."""

from __future__ import annotations

from quotes.provenance.models import ProvenanceCheck, State
from quotes.provenance.models.checks import ConcludedError


def locked(check: ProvenanceCheck) -> ProvenanceCheck:
    """Return the check as it stands in the database, locked until the transaction ends.

    Raises:
        ConcludedError: it is concluded.
    """
    found = ProvenanceCheck.objects.select_for_update().get(pk=check.pk)
    if found.state != State.OPEN:
        raise ConcludedError
    return found
