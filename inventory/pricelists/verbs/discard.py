"""Discards a list that was sent in: nothing of it is applied, its file is deleted."""

from __future__ import annotations

from django.db import transaction

from inventory.pricelists.models import Incoming, State
from inventory.pricelists.verbs.settle import NotOpenError


@transaction.atomic
def discard(incoming: Incoming) -> Incoming:
    """Return the list, discarded.

    Raises:
        NotOpenError: it is applied or discarded already.
    """
    kept = Incoming.objects.select_for_update().get(pk=incoming.pk)
    if not kept.is_open:
        raise NotOpenError(kept)
    kept.rows.all().delete()
    kept.problems.all().delete()
    kept.state, kept.message = State.DISCARDED, ""
    kept.save()

    def clear() -> None:
        kept.clear_folder()
        kept.file.delete(save=False)

    transaction.on_commit(clear)
    return kept
