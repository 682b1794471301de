"""What changed against the last revision that the customer has seen, in words for paper."""

from __future__ import annotations

from decimal import Decimal

from quotes.print.paper import ChangedLine, Changes
from quotes.quoting.models import Revision
from quotes.quoting.selectors.compare import FindingDelta, LineDelta, comparison
from workshop.core.naming import place_and_fault

LINE_WORDS = {"added": "new", "gone": "gone", "dearer": "dearer", "cheaper": "cheaper"}


def changes_of(revision: Revision) -> Changes | None:
    """Return what changed since the last revision that was sent, or None for the first."""
    found = comparison(revision)
    if found is None:
        return None
    before, after = _offered(found.before), _offered(revision)
    priced = before is not None and after is not None
    return Changes(
        revision=found.before.number,
        before=before,
        after=after,
        findings=tuple(_finding(each) for each in found.findings),
        rows=tuple(_line(each) for each in found.lines) if priced else (),
    )


def _offered(revision: Revision) -> Decimal | None:
    """Return what is to pay, gross, or None where no price is offered."""
    return None if revision.no_price else revision.gross


def _finding(delta: FindingDelta) -> str:
    """Return what became of a finding as a sentence."""
    place = place_and_fault(delta.checkpoint, delta.title)
    if delta.what == "added":
        return f"{place} is new, judged {delta.after}."
    if delta.what == "gone":
        return f"{place} is no longer found."
    if delta.what == "judged":
        return f"{place} is now judged {delta.after}; it was {delta.before}."
    return f"{place} is put right in another way: {delta.after} in place of {delta.before}."


def _line(delta: LineDelta) -> ChangedLine:
    """Return what became of a line as a row."""
    what = LINE_WORDS.get(delta.what) or (
        f"now {delta.importance_after}, was {delta.importance_before}"
    )
    return ChangedLine(what, delta.description, delta.before, delta.after)
