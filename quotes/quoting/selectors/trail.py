"""Who changed what money of a revision, and when: its history as sentences."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, TypeAlias

from inventory.core.money import format_money
from quotes.quoting.models import Line, LineChange, LineKind, QuotedFinding, Revision, State
from workshop.core.judgement import Importance
from workshop.shop.models import Shop

Say = Callable[[Decimal], str]
Record: TypeAlias = Any
"""A row of a model's history; simple-history makes these classes while running."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that somebody did, or that followed from it."""

    at: dt.datetime
    who: str
    what: str
    details: tuple[str, ...] = ()
    reason: str = ""


def history_of(revision: Revision, shop: Shop) -> list[Entry]:
    """Return what happened to a revision, newest first, in a constant number of queries."""

    def say(amount: Decimal) -> str:
        return format_money(amount, shop.currency, shop.locale)

    lines = list(_records(Line, revision_id=revision.pk))
    names = {record.key: record.description for record in lines}
    entries = [
        *_of_revision(_records(Revision, id=revision.pk), say),
        *_of_findings(list(_records(QuotedFinding, revision_id=revision.pk))),
        *_of_changes(_records(LineChange, revision_id=revision.pk), names, say),
        *_of_lines(lines, say),
    ]
    return sorted(entries, key=lambda entry: entry.at, reverse=True)


def _records(model: Record, **of: int) -> Iterable[Record]:
    """Return the history of a model's rows, oldest first, with the people."""
    rows = model.history.filter(**of).select_related("history_user")
    found: Iterable[Record] = rows.order_by("history_date", "history_id")
    return found


def _pairs(records: Iterable[Record]) -> Iterator[tuple[Record, Record]]:
    """Yield each record with the one before it of the same row, or None."""
    last: dict[int, Any] = {}
    for record in records:
        yield record, last.get(record.id)
        last[record.id] = record


def _entry(record: Record, what: str, details: Iterable[str] = (), reason: str = "") -> Entry:
    """Return an entry at a record's time and by its person."""
    who = str(record.history_user) if record.history_user else "the system"
    return Entry(record.history_date, who, what, tuple(details), reason)


def _of_revision(records: Iterable[Record], say: Say) -> Iterator[Entry]:
    """Yield the making, sending and answering, and the totals as they came to be."""
    for record, before in _pairs(records):
        if before is None:
            yield _entry(record, "Draft made")
            continue
        if record.state != before.state:
            yield _entry(record, f"Revision {State(record.state).label}")
        if record.gross != before.gross:
            change = f"{say(before.gross)} → {say(record.gross)} with VAT"
            yield _entry(record, "Total changed", [change])
        if record.valid_until != before.valid_until and record.state == State.DRAFT:
            until = record.valid_until
            day = f"{until.day} {until:%B %Y}" if until else "the shop's usual days"
            yield _entry(record, "Stands until", [day])
        if record.message != before.message:
            yield _entry(record, "Message to the customer changed")


def _of_findings(records: list[Record]) -> Iterator[Entry]:
    """Yield the findings taken over, gone, and what was chosen for them."""
    taken = Counter(record.history_date for record in records if record.history_type == "+")
    told: set[dt.datetime] = set()
    for record, before in _pairs(records):
        at = record.history_date
        name = f"{record.checkpoint_name}: {record.title}"
        if record.history_type == "+" and at not in told:
            told.add(at)
            count = taken[at]
            yield _entry(record, f"{count} finding{'' if count == 1 else 's'} taken over")
        elif record.history_type == "-":
            yield _entry(record, f"{name}: no longer found")
        elif before is not None:
            yield from _of_choice(record, before, name)


def _of_choice(record: Record, before: Record, name: str) -> Iterator[Entry]:
    """Yield what was chosen for a finding."""
    if record.no_work_reason != before.no_work_reason and record.no_work_reason:
        yield _entry(record, f"{name}: no work offered", reason=record.no_work_reason)
    elif record.remedy_name != before.remedy_name:
        change = f"{before.remedy_name or 'by hand'} → {record.remedy_name or 'by hand'}"
        yield _entry(record, f"{name}: remedy", [change])
    if record.importance != before.importance:
        words = Importance(before.importance).label, Importance(record.importance).label
        yield _entry(record, f"{name}: importance", [" → ".join(words)], record.importance_reason)


def _of_changes(records: Iterable[Record], names: dict[str, str], say: Say) -> Iterator[Entry]:
    """Yield the changes by hand to lines that were worked out."""
    for record, _before in _pairs(records):
        name = names.get(record.key, record.key)
        if record.history_type == "-":
            yield _entry(record, f"{name}: change taken back")
        elif record.leave_out:
            yield _entry(record, f"{name}: left out", reason=record.reason)
        else:
            details = []
            if record.quantity is not None:
                details.append(f"quantity {record.quantity.normalize():f}")
            if record.unit_price_net is not None:
                details.append(f"{say(record.unit_price_net)} each, net")
            yield _entry(record, f"{name}: changed by hand", details, record.reason)


def _of_lines(records: list[Record], say: Say) -> Iterator[Entry]:
    """Yield lines by hand, and lines whose amount followed from new prices or choices."""
    for record, before in _pairs(records):
        if record.kind == LineKind.HAND:
            yield from _of_hand_line(record, before, say)
        elif before is not None and record.history_type == "~" and record.net != before.net:
            change = f"{say(before.net)} → {say(record.net)} net"
            yield _entry(record, f"{record.description}: amount", [change])


def _of_hand_line(record: Record, before: Record, say: Say) -> Iterator[Entry]:
    """Yield the adding, changing and removing of a line by hand."""
    name = record.description
    if record.history_type == "-":
        yield _entry(record, f"{name}: line by hand removed")
    elif before is None:
        price = f"{record.quantity.normalize():f} × {say(record.unit_price_net)} net"
        yield _entry(record, f"{name}: line added by hand", [price], record.reason)
    elif _terms(record) != _terms(before):
        was, now = (
            f"{row.quantity.normalize():f} × {say(row.unit_price_net)}" for row in (before, record)
        )
        yield _entry(record, f"{name}: line by hand changed", [f"{was} → {now} net"], record.reason)


def _terms(record: Record) -> tuple[Any, ...]:
    """Return what a person enters of a line by hand."""
    return (record.description, record.quantity, record.unit_price_net, record.reason)
