"""Sets by hand how a finding must, or must not, be cured."""

from __future__ import annotations

from django.db import transaction

from quotes.planning.models import LockKind, PlanLock
from quotes.quoting.models import QuotedFinding
from quotes.quoting.trail import signed
from quotes.quoting.verbs.drafts import locked_draft
from workshop.labour.models import Remedy
from workshop.people.models import User


class CannotLockError(Exception):
    """Raised where a lock lacks its reason."""


@transaction.atomic
def lock_remedy(
    row: QuotedFinding, remedy: Remedy, kind: LockKind, *, reason: str, by: User
) -> PlanLock:
    """Keep that only this remedy, or not this remedy, is to cure the finding.

    A lock takes the place of an earlier one of the finding, or of the same remedy.

    Raises:
        FrozenError: the revision has been issued.
        CannotLockError: there is no reason.
    """
    locked_draft(row.revision)
    if not reason.strip():
        raise CannotLockError("Say why.")
    earlier = PlanLock.objects.filter(finding=row.finding_id)
    earlier.filter(remedy=remedy).delete()
    if kind == LockKind.LOCK:
        earlier.filter(kind=LockKind.LOCK).delete()
    lock = PlanLock(
        finding_id=row.finding_id, remedy=remedy, kind=kind, reason=reason.strip(), by=by
    )
    signed(lock, by).save()
    return lock
