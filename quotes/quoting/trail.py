"""Keeping the history of rows that are written many at a time."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar

from django.db.models import Model
from django.utils import timezone

from workshop.people.models import User

ADDED, CHANGED, REMOVED = "+", "~", "-"
Row = TypeVar("Row", bound=Model)


def signed(row: Row, by: User | None) -> Row:
    """Return the row with the name that its next history entry is to carry."""
    if by is not None:
        row._history_user = by  # type: ignore[attr-defined] # noqa: SLF001 - simple-history's way
    return row


def record(rows: Sequence[Any], kind: str, by: User | None) -> None:
    """Record that rows of one model were added, changed or removed, in one query.

    The person is ``by``, else whoever makes the request.
    """
    if not rows:
        return
    history = type(rows[0]).history.model
    now = timezone.now()
    history.objects.bulk_create(
        history(
            history_date=now,
            history_user=by or history.get_default_history_user(row),
            history_type=kind,
            **{each.attname: getattr(row, each.attname) for each in history.tracked_fields},
        )
        for row in rows
    )
