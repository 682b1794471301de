"""What stands in the way of sending a draft, as plain sentences."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils import timezone

from inventory.core.money import ZERO
from quotes.core.lines import Pricing
from quotes.core.pricing import PricingError
from quotes.quoting.models import Line, QuotedFinding, Revision
from quotes.quoting.selectors.book import worksheet_of
from quotes.quoting.selectors.found import found_in
from workshop.core.access import AccessError
from workshop.inspections.models import Inspection
from workshop.inspections.selectors import latest_inspection
from workshop.shop.models import Shop

SHOWN = (
    "description",
    "quantity",
    "unit_price_net",
    "net",
    "vat",
    "gross",
    "importance",
    "left_out",
)


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a draft can't be sent; ``anchor`` is where on its page, ``fetch`` if fetching helps."""

    text: str
    anchor: str = ""
    fetch: bool = False


def reasons_not_to_send(draft: Revision, shop: Shop) -> list[Reason]:
    """Return what stands in the way, in a constant number of queries; empty if nothing does.

    Whether the walk is finished is asked separately: a person may send all the same.
    """
    reasons = _of_shop(shop) + _of_dates(draft)
    inspection = latest_inspection(draft.quote.bike) or draft.quote.inspection
    if _inspected_anew(draft, inspection):
        reasons.append(Reason("The inspection has changed since this draft was made.", fetch=True))
    try:
        sheet = worksheet_of(draft, shop=shop)
        pricing = sheet.price()
    except (PricingError, AccessError) as error:
        return [*reasons, Reason(str(error))]
    if not draft.no_price:
        reasons += _unpriced(sheet.findings, pricing) + _of_offer(pricing)
    lines = Line.objects.filter(revision=draft)
    if _differs(lines, pricing):
        reasons.append(
            Reason("Prices or parts have changed since this draft was worked out.", fetch=True)
        )
    return reasons


def _of_shop(shop: Shop) -> list[Reason]:
    """Return a reason where the shop has no head to put on paper."""
    if shop._state.adding or not shop.address:  # noqa: SLF001 - Django's way to ask
        return [Reason("The shop's name and address are missing. Enter them under “Shop”.")]
    return []


def _of_dates(draft: Revision) -> list[Reason]:
    """Return a reason where the draft's date has passed."""
    if draft.valid_until is not None and draft.valid_until < timezone.localdate():
        text = f"It would stand until {draft.valid_until:%-d %B %Y}, which is past."
        return [Reason(text, "details")]
    return []


def _of_offer(pricing: Pricing) -> list[Reason]:
    """Return a reason where nothing, or less than nothing, is offered."""
    if not any(not line.left_out for line in pricing.lines):
        return [Reason("Nothing is offered: there is no line, or every line is left out.")]
    if pricing.totals.whole.gross < ZERO:
        return [Reason("The discounts come to more than the work. Lower them.", "totals")]
    return []


def _unpriced(rows: Iterable[QuotedFinding], pricing: Pricing) -> list[Reason]:
    """Return a reason for each finding that is to be priced by hand."""
    unpriced = set(pricing.unpriced)
    return [
        Reason(
            f"{row.checkpoint_name}, {row.title.lower()}: to be priced by hand.",
            f"finding-{row.pk}",
        )
        for row in rows
        if str(row.pk) in unpriced
    ]


def _inspected_anew(draft: Revision, inspection: Inspection) -> bool:
    """Tell whether the bike's latest inspection says anything else than the draft copied."""
    stored = {row.finding_id: row for row in QuotedFinding.objects.filter(revision=draft)}
    found = found_in(inspection)
    if {each.copied["finding_id"] for each in found} != stored.keys():
        return True
    return any(
        getattr(stored[each.copied["finding_id"]], name) != value
        for each in found
        for name, value in each.copied.items()
    )


def _differs(lines: Iterable[Line], pricing: Pricing) -> bool:
    """Tell whether the lines as stored are not what they would be now."""
    stored = {line.key: line for line in lines}
    if stored.keys() != {line.key for line in pricing.lines}:
        return True
    return any(
        getattr(stored[line.key], name) != getattr(line, name)
        for line in pricing.lines
        for name in SHOWN
    )
