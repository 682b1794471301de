"""Settles how a list is read and begins to read it, from its first row."""

from __future__ import annotations

from collections.abc import Mapping as Places
from typing import Any

from django.db import transaction

from inventory.pricelists.models import Incoming, Mapping, State
from inventory.reading.tables import size_of
from inventory.suppliers.models import Supplier

KEPT = ("decimal_mark", "jump_share", "cost_rule", "whole_range")


class NotOpenError(Exception):
    """Raised where a list is applied or discarded already."""

    def __init__(self, incoming: Incoming) -> None:
        super().__init__(f"{incoming} is {incoming.get_state_display()} already. Send it in anew.")


@transaction.atomic
def settle(incoming: Incoming, *, columns: Places[str, int], **facts: Any) -> Incoming:
    """Return the list about to be read; keeps the columns' names for the supplier's next list.

    ``facts`` are ``decimal_mark``, ``valid_from``, ``whole_range``, ``jump_share``, ``cost_rule``.

    Raises:
        NotOpenError: it is applied or discarded.
    """
    kept = Incoming.objects.select_for_update().get(pk=incoming.pk)
    if not kept.is_open:
        raise NotOpenError(kept)
    kept.columns = dict(columns)
    for name, value in facts.items():
        setattr(kept, name, value)
    begin(kept)
    names = {key: kept.head[place] for key, place in columns.items() if place < len(kept.head)}
    remembered = {name: facts[name] for name in KEPT} | {
        "columns": {key: name for key, name in names.items() if name},
        "encoding": kept.encoding,
        "delimiter": kept.delimiter,
    }
    Mapping.objects.update_or_create(supplier_id=kept.supplier_id, defaults=remembered)
    return kept


def begin(kept: Incoming) -> None:
    """Begin to read a locked list anew, against what the supplier sells now."""
    kept.rows.all().delete()
    kept.problems.all().delete()
    kept.state, kept.message = State.READING, ""
    kept.offset, kept.row, kept.size = 0, 0, size_of(kept.folder)
    kept.counts, kept.wrong, kept.passed, kept.vanished = {}, 0, 0, 0
    kept.read_against = Supplier.objects.values_list("version", flat=True).get(pk=kept.supplier_id)
    kept.save()


@transaction.atomic
def read_anew(incoming: Incoming) -> Incoming:
    """Return the list, about to be read again with the columns it has.

    Raises:
        NotOpenError: it is applied or discarded.
    """
    kept = Incoming.objects.select_for_update().get(pk=incoming.pk)
    if not kept.is_open:
        raise NotOpenError(kept)
    begin(kept)
    return kept
