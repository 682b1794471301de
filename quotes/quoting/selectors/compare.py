"""What changed between a revision and the one the customer saw before it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from quotes.core.lines import Totals
from quotes.core.pricing import totals
from quotes.quoting.models import Line, LineKind, QuotedFinding, Revision, State
from workshop.core.judgement import Importance


@dataclass(frozen=True, slots=True)
class LineDelta:
    """What became of a line: ``what`` is added, gone, dearer, cheaper or importance.

    Amounts are gross; the importances are words.
    """

    what: str
    description: str
    before: Decimal | None
    after: Decimal | None
    importance_before: str = ""
    importance_after: str = ""

    @property
    def difference(self) -> Decimal:
        """Return by how much it changes the total, gross."""
        return (self.after or Decimal(0)) - (self.before or Decimal(0))


@dataclass(frozen=True, slots=True)
class FindingDelta:
    """What became of a finding: ``what`` is added, gone, judged or remedy."""

    what: str
    checkpoint: str
    title: str
    before: str = ""
    after: str = ""


@dataclass(frozen=True, slots=True)
class ImportanceDelta:
    """Gross of one importance in both revisions."""

    word: str
    before: Decimal
    after: Decimal

    @property
    def difference(self) -> Decimal:
        """Return by how much it changed."""
        return self.after - self.before


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two revisions of one quote, the earlier one seen by the customer."""

    before: Revision
    after: Revision
    findings: tuple[FindingDelta, ...]
    lines: tuple[LineDelta, ...]
    importances: tuple[ImportanceDelta, ...]

    @property
    def difference(self) -> Decimal:
        """Return by how much the total changed, gross."""
        return Decimal(self.after.gross - self.before.gross)

    @property
    def same(self) -> bool:
        """Tell whether nothing changed that a customer would see."""
        return not (self.findings or self.lines)


def previous_sent(revision: Revision) -> Revision | None:
    """Return the newest revision before this one that a customer has seen, or None."""
    earlier = Revision.objects.filter(quote=revision.quote_id, number__lt=revision.number)
    return earlier.exclude(state=State.DRAFT).select_related("quote").order_by("-number").first()


def comparison(revision: Revision) -> Comparison | None:
    """Return what changed since the last revision that was sent, or None for the first."""
    before = previous_sent(revision)
    if before is None:
        return None
    lines_before, lines_after = _lines(before), _lines(revision)
    return Comparison(
        before=before,
        after=revision,
        findings=tuple(_finding_deltas(before, revision)),
        lines=tuple(_line_deltas(lines_before, lines_after)),
        importances=_importances(totals(lines_before.values()), totals(lines_after.values())),
    )


def _lines(revision: Revision) -> dict[str, Line]:
    """Return the lines that count by their key."""
    rows = Line.objects.filter(revision=revision, left_out=False).order_by("position", "pk")
    return {line.key: line for line in rows}


def _line_deltas(before: dict[str, Line], after: dict[str, Line]) -> Iterable[LineDelta]:
    """Yield the lines that changed, in the order of the newer revision, then those gone."""
    for key, line in after.items():
        delta = _line_delta(before.get(key), line)
        if delta:
            yield delta
    for key, line in before.items():
        if key not in after:
            yield LineDelta("gone", _name(line), line.gross, None)


def _line_delta(old: Line | None, new: Line) -> LineDelta | None:
    """Return what became of a line that is still there, or None."""
    if old is None:
        return LineDelta("added", _name(new), None, new.gross)
    words = Importance(old.importance).label, Importance(new.importance).label
    if old.gross != new.gross:
        what = "dearer" if new.gross > old.gross else "cheaper"
    elif old.importance != new.importance:
        what = "importance"
    else:
        return None
    return LineDelta(what, _name(new), old.gross, new.gross, *words)


def _name(line: Line) -> str:
    """Return a line's description; sundries, of which there may be three, with theirs."""
    if line.kind != LineKind.SUNDRY:
        return line.description
    return f"{line.description}, {Importance(line.importance).label}"


def _finding_deltas(before: Revision, after: Revision) -> Iterable[FindingDelta]:
    """Yield the findings that are new, gone, judged otherwise or cured in another way."""
    old, new = _findings(before), _findings(after)
    for fault, row in new.items():
        was = old.get(fault)
        place = (row.checkpoint_name, row.title)
        if was is None:
            yield FindingDelta("added", *place, "", row.get_judgement_display())
        elif was.judgement != row.judgement:
            judged = was.get_judgement_display(), row.get_judgement_display()
            yield FindingDelta("judged", *place, *judged)
        elif _way(was) != _way(row):
            yield FindingDelta("remedy", *place, _way(was), _way(row))
    for fault, row in old.items():
        if fault not in new:
            yield FindingDelta("gone", row.checkpoint_name, row.title)


def _findings(revision: Revision) -> dict[int, QuotedFinding]:
    """Return the findings by their fault, which stays from inspection to inspection."""
    rows = QuotedFinding.objects.filter(revision=revision).select_related("finding")
    return {row.finding.fault_id: row for row in rows.order_by("position", "pk")}


def _way(row: QuotedFinding) -> str:
    """Return in words what is to be done about a finding."""
    if row.no_work_reason:
        return "no work offered"
    return row.remedy_name or "priced by hand"


def _importances(before: Totals, after: Totals) -> tuple[ImportanceDelta, ...]:
    """Return the gross of each importance in both."""
    return tuple(
        ImportanceDelta(
            each.label, before.by_importance[each].gross, after.by_importance[each].gross
        )
        for each in Importance
    )
