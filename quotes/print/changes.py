"""What changed against the last revision that the customer has seen."""

from __future__ import annotations

from decimal import Decimal

from quotes.print.paper import ChangedLine, Changes
from quotes.quoting.models import Line, Revision

ZERO = Decimal(0)


def changes_of(revision: Revision) -> Changes | None:
    """Return the lines added, gone and changed in price since the last revision sent, or None."""
    last = (
        Revision.objects.filter(
            quote_id=revision.quote_id, number__lt=revision.number, sent_at__isnull=False
        )
        .prefetch_related("lines")
        .order_by("-number")
        .first()
    )
    if last is None:
        return None
    before, after = _charged(last), _charged(revision)
    rows = [_row(before.get(key), line) for key, line in after.items()]
    rows += [_row(line, None) for key, line in before.items() if key not in after]
    return Changes(last.number, last.gross, revision.gross, tuple(row for row in rows if row))


def _charged(revision: Revision) -> dict[str, Line]:
    """Return the lines that count, by key; none where no price is offered."""
    if revision.no_price:
        return {}
    return {line.key: line for line in revision.lines.all() if not line.left_out}


def _row(before: Line | None, after: Line | None) -> ChangedLine | None:
    """Return what became of a line, or None where it is as before."""
    if before is None and after is not None:
        return ChangedLine("new", after.description, None, after.gross)
    if after is None and before is not None:
        return ChangedLine("gone", before.description, before.gross, None)
    if before is not None and after is not None and before.gross != after.gross:
        return ChangedLine("changed", after.description, before.gross, after.gross)
    return None
