"""The job card on paper: for the bench without a phone, filled in by pen and entered later."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from babel.dates import format_date
from django.template.loader import render_to_string
from django.utils import timezone

from inventory.core.codes import Drawn, square_drawn
from workshop.jobcards.models import Declined, ReleaseItem
from workshop.jobcards.selectors.measured import ToRead, to_read
from workshop.jobcards.selectors.page import CardPage, TaskRow
from workshop.jobcards.signing import items_for
from workshop.shop.models import Shop

SIZES = ("a4", "a5")
SPARE_LINES = 3
"""Lines for what is found on strip-down, and for parts beyond those planned."""


@dataclass(frozen=True, slots=True)
class PenRow:
    """A task with what is read after it."""

    row: TaskRow
    to_read: Sequence[ToRead]


@dataclass(frozen=True, slots=True)
class PenCard:
    """A card ready to be printed; ``square`` is the QR code of the live one at ``address``."""

    page: CardPage
    shop: Shop
    size: str
    address: str
    square: Drawn
    rows: tuple[PenRow, ...]
    declined: tuple[Declined, ...]
    items: tuple[ReleaseItem, ...]
    promised_on: str
    printed: str

    @property
    def spare(self) -> range:
        """Return as many as there are spare lines."""
        return range(SPARE_LINES)


def pen_card(page: CardPage, shop: Shop, *, size: str, address: str) -> PenCard:
    """Return a card for paper of a size (a4, a5), in a constant number of queries."""
    card, now = page.card, timezone.localtime()
    measures = to_read(card)
    day = card.promised_on
    return PenCard(
        page=page,
        shop=shop,
        size=size,
        address=address,
        square=square_drawn(address),
        rows=tuple(PenRow(row, measures.get(row.task.pk, ())) for row in page.wanted),
        declined=tuple(page.declined),
        items=tuple(items_for(card.bike)),
        promised_on=format_date(day, "full", locale=shop.locale) if day else "",
        printed=f"{format_date(now, 'medium', locale=shop.locale)}, {now:%H:%M}",
    )


def pen_card_html(paper: PenCard) -> str:
    """Return the card as HTML, without its stylesheet."""
    context = {
        "paper": paper,
        "shop": paper.shop,
        "card": paper.page.card,
        "bike": paper.page.card.bike,
        "language": paper.shop.locale.replace("_", "-"),
    }
    return render_to_string("print/job_card.html", context)


def pen_card_pdf(paper: PenCard) -> bytes:
    """Return the card as PDF; the same card printed at the same minute gives the same bytes."""
    from inventory.paper.press import pdf_of

    return pdf_of(pen_card_html(paper))
