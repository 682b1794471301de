"""Brings a draft's findings in step with what the inspection found."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from quotes.quoting.models import QuotedFinding, Revision
from quotes.quoting.selectors.found import Found, found_in, not_tested_in
from quotes.quoting.trail import ADDED, CHANGED, REMOVED, record, signed
from workshop.labour.models import Remedy
from workshop.people.models import User

FIELDS = (
    "finding_id", "position", "checkpoint_code", "checkpoint_name", "title", "words", "readings",
    "note", "judgement", "deal_breaker", "remedy_id", "remedy_name", "remedy_chosen",
    "no_work_reason", "importance", "importance_reason",
)  # fmt: skip


def gather(
    draft: Revision, *, by: User, carried: Iterable[QuotedFinding] = ()
) -> list[QuotedFinding]:
    """Copy the findings of the quote's inspection into a draft and return them.

    What a person chose for a finding, in this draft or in ``carried`` ones, is kept where the
    finding is judged as it was; one judged anew is proposed anew. The caller holds the draft
    locked, in a transaction, and prices it afterwards.
    """
    inspection = draft.quote.inspection
    before = {row.finding.fault_id: row for row in _rows(draft)}
    choices = {row.finding.fault_id: row for row in carried} | before
    rows = []
    for found in found_in(inspection):
        row = before.get(found.fault_id) or QuotedFinding(revision=draft)
        rows.append((row, _wanted(found, choices.get(found.fault_id))))
    _store(draft, rows, before, by)
    draft.no_price = any(row.deal_breaker for row, _ in rows)
    draft.not_tested = not_tested_in(inspection)
    signed(draft, by).save()
    return [row for row, _ in rows]


def _rows(draft: Revision) -> list[QuotedFinding]:
    """Return the draft's findings as they are stored."""
    rows = QuotedFinding.objects.filter(revision=draft).select_related("finding", "remedy")
    for row in rows:
        row.revision = draft
    return list(rows)


def _wanted(found: Found, chosen: QuotedFinding | None) -> dict[str, Any]:
    """Return the values a row is to have."""
    keep = chosen is not None and chosen.judgement == found.judgement
    remedy, by_hand = found.remedy, False
    importance, reason, no_work = found.importance, "", ""
    if keep and chosen is not None:
        no_work = chosen.no_work_reason
        if chosen.remedy_chosen and _usable(chosen.remedy):
            remedy, by_hand = chosen.remedy, True
        if chosen.importance_reason:
            importance, reason = chosen.importance, chosen.importance_reason
    return found.copied | {
        "remedy_id": remedy.pk if remedy else None,
        "remedy_name": remedy.name if remedy else "",
        "remedy_chosen": by_hand,
        "no_work_reason": no_work,
        "importance": importance,
        "importance_reason": reason,
    }


def _usable(remedy: Remedy | None) -> bool:
    """Tell whether a remedy chosen earlier is still in use."""
    return remedy is not None and remedy.active


def _store(
    draft: Revision,
    rows: list[tuple[QuotedFinding, dict[str, Any]]],
    before: Mapping[int, QuotedFinding],
    by: User,
) -> None:
    """Write what differs from what is stored, and its history."""
    changed = []
    for row, wanted in rows:
        if any(getattr(row, name) != wanted[name] for name in FIELDS):
            changed.append(row)
        for name in FIELDS:
            setattr(row, name, wanted[name])
    new = [row for row in changed if row.pk is None]
    old = [row for row in changed if row.pk is not None]
    kept = {row.pk for row, _ in rows if row.pk is not None}
    gone = [row for row in before.values() if row.pk not in kept]
    record(gone, REMOVED, by)
    QuotedFinding.objects.filter(pk__in=[row.pk for row in gone]).delete()
    QuotedFinding.objects.bulk_update(old, [name.removesuffix("_id") for name in FIELDS])
    record(old, CHANGED, by)
    QuotedFinding.objects.bulk_create(new)
    record(new, ADDED, by)
