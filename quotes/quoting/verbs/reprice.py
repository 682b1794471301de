"""Prices a draft with the prices of today; keeps what was changed and added by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction
from django.utils import timezone

from inventory.parts.models import Part
from quotes.core.lines import Kind, PricedLine, Pricing, Sum
from quotes.core.pricing import PricingError
from quotes.quoting.models import Line, QuotedFinding, Revision
from quotes.quoting.selectors.book import Worksheet, worksheet_of
from quotes.quoting.trail import ADDED, CHANGED, REMOVED, record, signed
from quotes.quoting.verbs.drafts import locked_draft
from workshop.core.access import AccessError
from workshop.people.models import User

FIELDS = (
    "position", "kind", "description", "part_id", "quantity", "unit", "unit_price_net", "net",
    "vat_code", "vat_rate", "vat", "gross", "cost_net", "importance", "left_out", "reason",
    "needed_by",
)  # fmt: skip


class CannotPriceError(Exception):
    """Raised where the catalogue lacks something that the price needs; says what."""


def priced(sheet: Worksheet) -> Pricing:
    """Return the pricing of a worksheet.

    Raises:
        CannotPriceError: a rate is missing, or the catalogue does not hang together.
    """
    try:
        return sheet.price()
    except (PricingError, AccessError) as error:
        raise CannotPriceError(str(error)) from error


@transaction.atomic
def reprice(revision: Revision, *, by: User | None = None) -> Revision:
    """Price a draft anew and return it as it is stored.

    Lines keep their keys and with them what was changed by hand; lines by hand stay.

    Raises:
        FrozenError: the revision has been issued.
        CannotPriceError: the catalogue lacks something.
    """
    draft = locked_draft(revision)
    sheet = worksheet_of(draft)
    pricing = priced(sheet)
    _store_lines(draft, sheet, pricing, by)
    _store_covered(sheet, pricing)
    _store_totals(draft, pricing.totals.whole, by)
    return draft


def _store_totals(draft: Revision, whole: Sum, by: User | None) -> None:
    """Keep the sums and the day of the prices, where they have changed."""
    today = timezone.localdate()
    now = (draft.net, draft.vat, draft.gross, draft.priced_on)
    if now == (whole.net, whole.vat, whole.gross, today):
        return
    draft.net, draft.vat, draft.gross, draft.priced_on = whole.net, whole.vat, whole.gross, today
    signed(draft, by).save()


def line_values(priced_line: PricedLine, position: int, parts: Mapping[str, int]) -> dict[str, Any]:
    """Return the fields of a stored line for a priced one; ``parts`` maps codes to pks."""
    is_part = priced_line.kind is Kind.PART
    return {
        "position": position,
        "kind": priced_line.kind.value,
        "description": priced_line.description,
        "part_id": parts[priced_line.key.rpartition(":")[2]] if is_part else None,
        "quantity": priced_line.quantity,
        "unit": priced_line.unit,
        "unit_price_net": priced_line.unit_price_net,
        "net": priced_line.net,
        "vat_code": priced_line.vat_code,
        "vat_rate": priced_line.vat_rate,
        "vat": priced_line.vat,
        "gross": priced_line.gross,
        "cost_net": priced_line.cost_net,
        "importance": priced_line.importance.value,
        "left_out": priced_line.left_out,
        "reason": priced_line.reason,
        "needed_by": list(priced_line.needed_by),
    }


def _store_lines(draft: Revision, sheet: Worksheet, pricing: Pricing, by: User | None) -> None:
    """Write the lines that are new or differ, drop those that are gone, link the findings."""
    stored = {line.key: line for line in Line.objects.filter(revision=draft)}
    codes = {part.code for work in sheet.works.values() for part in work.parts}
    parts = dict(Part.objects.filter(code__in=codes).values_list("code", "pk"))
    new, changed = [], []
    for position, each in enumerate(pricing.lines, start=1):
        values = line_values(each, position, parts)
        line = stored.pop(each.key, None)
        if line is None:
            new.append(Line(revision=draft, key=each.key, **values))
        elif any(getattr(line, name) != values[name] for name in FIELDS):
            for name in FIELDS:
                setattr(line, name, values[name])
            changed.append(line)
    record(list(stored.values()), REMOVED, by)
    Line.objects.filter(pk__in=[line.pk for line in stored.values()]).delete()
    _write(new, changed, by)
    _link(draft, pricing.lines)


def _write(new: Sequence[Line], changed: Sequence[Line], by: User | None) -> None:
    """Insert new lines and overwrite changed ones by their key."""
    Line.objects.bulk_create(
        [*new, *changed],
        update_conflicts=True,
        unique_fields=["revision", "key"],
        update_fields=[name.removesuffix("_id") for name in FIELDS],
    )
    record(new, ADDED, by)
    record(changed, CHANGED, by)


def _link(draft: Revision, lines: Sequence[PricedLine]) -> None:
    """Bring the links from lines to findings in step."""
    links = Line.findings.through
    pks = dict(Line.objects.filter(revision=draft).values_list("key", "pk"))
    wanted = {(pks[line.key], int(finding)) for line in lines for finding in line.findings}
    stored = {
        (line, finding): pk
        for pk, line, finding in links.objects.filter(line__revision=draft).values_list(
            "pk", "line_id", "quotedfinding_id"
        )
    }
    gone = [pk for pair, pk in stored.items() if pair not in wanted]
    links.objects.filter(pk__in=gone).delete()
    links.objects.bulk_create(
        links(line_id=line, quotedfinding_id=finding)
        for line, finding in sorted(wanted - stored.keys())
    )


def _store_covered(sheet: Worksheet, pricing: Pricing) -> None:
    """Keep for each finding what makes it needless, where that has changed."""
    changed: list[QuotedFinding] = []
    for row in sheet.findings:
        covered_by = pricing.covered.get(str(row.pk), "")
        if row.covered_by != covered_by:
            row.covered_by = covered_by
            changed.append(row)
    QuotedFinding.objects.bulk_update(changed, ["covered_by"])
