"""Reads a list on for a while: its next rows are checked, compared and kept aside."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from django.db import transaction

from inventory.pricelists.comparing import compared, vanished_from
from inventory.pricelists.models import Incoming, Problem, State
from inventory.pricelists.rowreading import Article, Plan, Wrong, read_article
from inventory.reading.rows import Row, SheetError
from inventory.reading.tables import read_rows

ROWS_AT_ONCE = 2_000
SECONDS = 2.0
MOST_WRONG = 2_000
CELL_LETTERS, MESSAGE_LETTERS, COLUMN_LETTERS = 120, 300, 80


@dataclass(slots=True)
class Portion:
    """Rows that are read in one go, and the byte behind them; ``last`` where nothing follows."""

    articles: list[Article] = field(default_factory=list)
    wrong: list[Wrong] = field(default_factory=list)
    passed: int = 0
    row: int = 0
    offset: int = 0
    last: bool = False


def read_on(incoming: Incoming, *, seconds: float = SECONDS) -> Incoming:
    """Return the list after reading on for about so many seconds; a portion at least.

    Each portion is kept in a transaction of its own, together with how far it reaches: whatever
    stops the program, the next call goes on behind the last portion that was kept.
    """
    until = time.monotonic() + seconds
    now = Incoming.objects.select_related("supplier").get(pk=incoming.pk)
    if now.state != State.READING:
        return now
    try:
        for portion in portions(now):
            now = keep(now, portion)
            if now.state != State.READING or time.monotonic() > until:
                break
    except SheetError as error:
        return stuck(now, str(error))
    return now


def portions(incoming: Incoming) -> Iterator[Portion]:
    """Yield the portions from where the list is read up to."""
    plan = Plan(
        incoming.columns, tuple(incoming.head), incoming.decimal_mark, incoming.supplier.currency
    )
    portion = Portion()
    for row in read_rows(incoming.folder, incoming.table, incoming.offset, incoming.row):
        if row.number > incoming.head_row:
            sort(row, plan, portion)
        portion.row = row.number
        if row.end is not None:
            portion.offset = row.end
            if len(portion.articles) + len(portion.wrong) + portion.passed >= ROWS_AT_ONCE:
                yield portion
                portion = Portion()
    portion.last = True
    yield portion


def sort(row: Row, plan: Plan, portion: Portion) -> None:
    """Put a row where it belongs; one with neither code nor price is a heading or a remark."""
    if not row.cell(plan.columns["code"]) and not row.cell(plan.columns["price"]):
        portion.passed += 1
        return
    read = read_article(row, plan)
    if isinstance(read, Article):
        portion.articles.append(read)
    else:
        portion.wrong.extend(read)


@transaction.atomic
def keep(incoming: Incoming, portion: Portion) -> Incoming:
    """Keep a portion; nothing happens where somebody else has read on meanwhile."""
    locked = Incoming.objects.select_for_update(of=("self",)).select_related("supplier")
    kept = locked.get(pk=incoming.pk)
    if (kept.state, kept.offset, kept.row) != (State.READING, incoming.offset, incoming.row):
        return kept
    rows, twice = compared(kept, portion.articles)
    kept.rows.bulk_create(rows)
    wrong = sorted((*portion.wrong, *twice), key=lambda each: each.number)
    kept.problems.bulk_create(problem(kept, each) for each in wrong)
    counts = Counter(kept.counts) + Counter(str(row.difference) for row in rows)
    kept.counts = dict(counts)
    kept.wrong += len({each.number for each in wrong})
    kept.passed += portion.passed
    kept.row, kept.offset = max(kept.row, portion.row), max(kept.offset, portion.offset)
    if portion.last:
        finish(kept)
    elif kept.wrong > MOST_WRONG:
        kept.state = State.STUCK
        kept.message = (
            f"More than {MOST_WRONG:,} rows are wrong. Most likely a column is not what it was "
            "told to be, or the decimal mark is another. Look at the columns again."
        )
    kept.save()
    return kept


def problem(incoming: Incoming, wrong: Wrong) -> Problem:
    """Return what is wrong as it is kept."""
    return Problem(
        incoming=incoming,
        number=wrong.number,
        column=wrong.column[:COLUMN_LETTERS],
        cell=wrong.cell[:CELL_LETTERS],
        message=wrong.message[:MESSAGE_LETTERS],
        code=wrong.code[:60],
    )


def finish(kept: Incoming) -> None:
    """Say that the list is read, and what it leaves out."""
    if not kept.counts:
        kept.state = State.STUCK
        kept.message = (
            "There is no row in this list that can be read. Look at the columns again."
            if kept.wrong
            else "There is no row with a code or a price below the columns' names."
        )
        return
    kept.state, kept.offset = State.READ, kept.size
    kept.vanished = vanished_from(kept).count()


def stuck(incoming: Incoming, message: str) -> Incoming:
    """Return the list, which cannot be read further."""
    Incoming.objects.filter(pk=incoming.pk, state=State.READING).update(
        state=State.STUCK, message=message
    )
    return Incoming.objects.select_related("supplier").get(pk=incoming.pk)
