"""Notes what a register of stolen bikes says."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from quotes.provenance.models import ProvenanceCheck
from quotes.provenance.verbs.locking import locked
from workshop.people.models import User


@transaction.atomic
def note_register(
    check: ProvenanceCheck, *, result: str, on: dt.date, by: User, note: str = ""
) -> ProvenanceCheck:
    """Return the check with the look-up noted; raises ConcludedError where it is concluded."""
    check = locked(check)
    check.register_result, check.register_note = result, note
    check.register_on, check.register_by = on, by
    check.save()
    return check
