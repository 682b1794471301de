"""Takes a lock off."""

from __future__ import annotations

from django.db import transaction

from quotes.planning.models import PlanLock
from quotes.quoting.models import Revision
from quotes.quoting.trail import signed
from quotes.quoting.verbs.drafts import locked_draft
from workshop.people.models import User


@transaction.atomic
def unlock(lock: PlanLock, revision: Revision, *, by: User) -> None:
    """Delete a lock of a draft's finding; its history stays. Raises FrozenError once issued."""
    locked_draft(revision)
    signed(lock, by).delete()
