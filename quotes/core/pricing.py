"""Pricing: jobs in walk order and a price book give priced lines, totals and what is missing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType

from quotes.core.accepting import accepted_lines
from quotes.core.lines import Change, HandLine, Job, PriceBook, PricedLine, Pricing
from quotes.core.rows import (
    LABOUR,
    NO_CHANGE,
    Row,
    access_row,
    hand_row,
    labour_row,
    part_row,
    priced,
)
from quotes.core.sundries import sundry_rows
from quotes.core.totals import labour_minutes, totals
from quotes.core.work import PricingError, Work, gather, reached

__all__ = [
    "PricingError",
    "accepted_lines",
    "labour_minutes",
    "price",
    "totals",
]

NO_CHANGES: Mapping[str, Change] = MappingProxyType({})


def price(
    jobs: Sequence[Job],
    book: PriceBook,
    *,
    changes: Mapping[str, Change] = NO_CHANGES,
    hand_lines: Sequence[HandLine] = (),
) -> Pricing:
    """Price jobs given in walk order.

    Each operation, each part of an operation and each access step is charged once and traced to
    all the findings that need it. ``changes`` are made by line key; sundries come after them, so
    that labour left out carries none. Lines come by their first finding: access, labour, parts,
    lines by hand; then lines by hand for no finding; sundries last. Raises ``PricingError`` and
    ``AccessError`` where the price book or the jobs do not hang together.
    """
    left_out = _operations_left_out(changes)
    work = gather(jobs, left_out)
    rows = _in_order(_work_rows(work, book), map(hand_row, hand_lines), jobs)
    _refuse_twice(rows)
    lines = _priced(rows, book, changes)
    lines += _priced(sundry_rows(lines, book), book, changes)
    keys = {line.key for line in lines}
    return Pricing(
        lines=lines,
        totals=totals(lines, registered=book.registered),
        unpriced=_unpriced(jobs, hand_lines),
        covered=work.covered,
        stale_changes=tuple(key for key in changes if key not in keys),
    )


def _operations_left_out(changes: Mapping[str, Change]) -> frozenset[str]:
    """Return the codes of the operations that were left out by hand."""
    return frozenset(
        key.removeprefix(LABOUR)
        for key, change in changes.items()
        if key.startswith(LABOUR) and change.leave_out
    )


def _work_rows(work: Work, book: PriceBook) -> list[Row]:
    """Return the rows of access steps, labour and parts, in that order."""
    return [
        *(access_row(each, book) for each in reached(work.done, book.steps)),
        *(labour_row(each, book) for each in work.done),
        *(part_row(each) for each in work.fitted),
    ]


def _in_order(rows: Iterable[Row], by_hand: Iterable[Row], jobs: Sequence[Job]) -> list[Row]:
    """Return the rows by their first finding in walk order; those of no finding at the end."""
    place = {job.finding: index for index, job in enumerate(jobs)}

    def first(row: Row) -> int:
        return min((place[name] for name in row.findings if name in place), default=len(place))

    return sorted((*rows, *by_hand), key=first)


def _refuse_twice(rows: Sequence[Row]) -> None:
    """Raise ``PricingError`` where two rows have one key, as two lines by hand might."""
    seen: set[str] = set()
    for row in rows:
        if row.key in seen:
            raise PricingError(f"Two lines have the key {row.key}. Give each its own.")
        seen.add(row.key)


def _priced(
    rows: Iterable[Row], book: PriceBook, changes: Mapping[str, Change]
) -> tuple[PricedLine, ...]:
    """Price rows, each with the change made to it by hand."""
    return tuple(priced(row, book, changes.get(row.key, NO_CHANGE)) for row in rows)


def _unpriced(jobs: Sequence[Job], hand_lines: Sequence[HandLine]) -> tuple[str, ...]:
    """Return the findings that nothing prices: no operation, no part, no line by hand."""
    by_hand = {finding for line in hand_lines for finding in line.findings}
    return tuple(
        job.finding
        for job in jobs
        if not (job.operations or job.parts) and job.finding not in by_hand
    )
