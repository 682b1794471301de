"""The ways there are to deal with a finding, and what each does to the whole quote's total."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from quotes.core.pricing import PricingError
from quotes.quoting.models import QuotedFinding
from quotes.quoting.selectors.book import Worksheet, worksheet_of
from quotes.quoting.selectors.found import meant_for
from workshop.core.access import AccessError
from workshop.core.judgement import Judgement
from workshop.inspections.models import RemedyOption
from workshop.shop.models import Shop

BY_HAND = "by-hand"
NO_WORK = "no-work"


@dataclass(frozen=True, slots=True)
class Way:
    """A way: ``value`` is a remedy's pk, "by-hand" or "no-work".

    ``difference`` is what it adds to the quote's total with VAT; None where it can't be priced.
    """

    value: str
    name: str
    note: str
    difference: Decimal | None
    current: bool


def ways_for(row: QuotedFinding, shop: Shop) -> list[Way]:
    """Return the ways for a draft's finding, in a constant number of queries.

    Each remedy is priced with everything else as it stands, so that shared access and work that
    makes other work needless count as they will.
    """
    bike = row.revision.quote.bike
    options = [
        option
        for option in RemedyOption.objects.filter(fault=row.finding.fault_id, remedy__active=True)
        .select_related("remedy", "fault__checkpoint")
        .order_by("rank", "pk")
        if option.suits(bike)
    ]
    sheet = worksheet_of(row.revision, others=[option.remedy_id for option in options], shop=shop)
    now = _gross(sheet, row, row.remedy_id, offered=not row.no_work_reason)
    ways = [
        Way(
            value=str(option.remedy_id),
            name=option.remedy.name,
            note=_note(option, row, sheet),
            difference=_less(_gross(sheet, row, option.remedy_id), now),
            current=option.remedy_id == row.remedy_id and not row.no_work_reason,
        )
        for option in options
    ]
    ways += _former(row, ways)
    nothing = _less(_gross(sheet, row, None), now)
    by_hand = row.remedy_id is None and not row.no_work_reason
    return [
        *ways,
        Way(BY_HAND, "Price it by hand", "add lines for it", nothing, by_hand),
        Way(NO_WORK, "Offer no work for it", "", nothing, bool(row.no_work_reason)),
    ]


def _former(row: QuotedFinding, ways: list[Way]) -> list[Way]:
    """Return the remedy chosen now where it is no longer among the options."""
    if row.remedy_id is None or str(row.remedy_id) in {way.value for way in ways}:
        return []
    value = str(row.remedy_id)
    used = row.remedy is not None and row.remedy.active
    note = "cures it with other findings" if used else "no longer in use"
    return [Way(value, row.remedy_name, note, Decimal(0), not row.no_work_reason)]


def _note(option: RemedyOption, row: QuotedFinding, sheet: Worksheet) -> str:
    """Return a note where a remedy is meant for worse findings, or its parts may not fit."""
    notes = [sheet.works[option.remedy_id].fit_words.rstrip(".")]
    if not meant_for(option, row.judgement):
        notes.insert(0, f"meant for “{Judgement(option.from_judgement).label}”")
    return ", ".join(filter(None, notes))


def _gross(
    sheet: Worksheet, row: QuotedFinding, remedy: int | None, *, offered: bool = True
) -> Decimal | None:
    """Return the quote's total with VAT where the finding is cured so, or None."""
    try:
        return sheet.price({row.pk: remedy} if offered else {}).totals.whole.gross
    except (PricingError, AccessError):
        return None


def _less(amount: Decimal | None, other: Decimal | None) -> Decimal | None:
    """Return a difference, or None where one of the two is unknown."""
    return None if amount is None or other is None else amount - other
