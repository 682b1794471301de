"""Getting hold of a draft so that nobody else changes it meanwhile."""

from __future__ import annotations

from quotes.quoting.models import Revision


def locked(revision: Revision) -> Revision:
    """Return the revision as it is stored now, locked until the transaction ends."""
    rows = Revision.objects.select_for_update(of=("self",))
    return rows.select_related("quote__bike", "quote__inspection").get(pk=revision.pk)


def locked_draft(revision: Revision) -> Revision:
    """Return the revision locked; raises FrozenError where it has been issued meanwhile."""
    draft = locked(revision)
    draft.refuse_if_issued()
    return draft
