"""The bike's drawing for paper: numbered marks where something was found or could not be tested."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from quotes.quoting.models import QuotedFinding
from workshop.bikes.models import Bike
from workshop.core.drawing import Drawing, Mark
from workshop.core.judgement import Judgement, worst
from workshop.core.shapes import NOT_TESTED
from workshop.inspections.models import Check, Outcome


def drawing_of(
    bike: Bike, rows: Sequence[QuotedFinding], checks: Iterable[Check]
) -> Drawing | None:
    """Return the drawing with a mark a checkpoint, or None where there is nothing to mark.

    A mark carries the numbers of the findings at its checkpoint and the worst of their
    judgements.
    """
    found: dict[int, list[tuple[int, QuotedFinding]]] = {}
    for number, row in enumerate(rows, start=1):
        found.setdefault(row.finding.check_made_id, []).append((number, row))
    marks = []
    for check in checks:
        mark = _mark(bike, check, found.get(check.pk, ()))
        if mark:
            marks.append(mark)
    if not marks:
        return None
    return Drawing(bike.frame, "Where the findings are on the bike", _words(rows), tuple(marks))


def _mark(bike: Bike, check: Check, found: Sequence[tuple[int, QuotedFinding]]) -> Mark | None:
    """Return the mark of a check, or None where it has none or its place is not drawn."""
    place = check.checkpoint.position(bike.frame)
    if place is None or not (found or check.outcome == Outcome.NOT_TESTED):
        return None
    judgement = worst(Judgement(row.judgement) for _, row in found)
    return Mark(
        x=place[0],
        y=place[1],
        judgement=judgement.value if judgement else NOT_TESTED,
        label=check.checkpoint.name,
        number=", ".join(str(number) for number, _ in found),
    )


def _words(rows: Sequence[QuotedFinding]) -> str:
    """Return the drawing in words, for those who do not see it."""
    return "; ".join(
        f"{number} {row.checkpoint_name}: {Judgement(row.judgement).label}"
        for number, row in enumerate(rows, start=1)
    )
