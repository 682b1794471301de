"""What a span of days means for the VAT return: an aid, not tax advice."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from inventory.core.money import ZERO
from quotes.core.stockbook import Dealt, return_boxes
from quotes.core.vat import ReturnBoxes
from quotes.sales.models import Line, Purchase, Sale
from quotes.sales.selectors.book import Days, note_of, purchases_in, reversal_of
from quotes.sales.selectors.left import Left, is_of_bike, left_of
from workshop.shop.models import VatScheme

EXTRA, POOLED = "extra", "pooled"
WORDS = {
    VatScheme.MARGIN.value: "Margin scheme, bike by bike",
    POOLED: "Margin scheme, pooled",
    VatScheme.ORDINARY.value: "Ordinary VAT",
    EXTRA: "Sold along, ordinary VAT",
    VatScheme.NONE.value: "Not registered for VAT",
}


@dataclass(frozen=True, slots=True)
class KindSums:
    """What was sold and bought of one kind: gross, with the VAT due and the VAT to get back."""

    kind: str
    sold: int
    sales: Decimal
    vat: Decimal
    bought: int
    purchases: Decimal
    input_vat: Decimal

    @property
    def words(self) -> str:
        """Return the kind in words."""
        return WORDS[self.kind]


@dataclass(frozen=True, slots=True)
class VatAid:
    """The period by kinds, and what it puts into a return.

    Pooled bikes are not in ``boxes``: global accounting reckons them for its own period.
    """

    kinds: tuple[KindSums, ...]
    boxes: ReturnBoxes
    box_4: Decimal

    @property
    def has_pooled(self) -> bool:
        """Tell whether some of it is pooled."""
        return any(each.kind == POOLED for each in self.kinds)


Entry = tuple[str, Dealt]


def vat_aid(days: Days) -> VatAid:
    """Return the figures of these days; four queries however much was dealt in."""
    purchases = purchases_in(days)
    sold, bought = list(_sales(purchases, days)), list(_purchases(purchases, days))
    kinds = tuple(
        _kind(kind, sold, bought)
        for kind in WORDS
        if any(each == kind for each, _ in (*sold, *bought))
    )
    by_margin = _boxes(sold, bought, {VatScheme.MARGIN.value}, margin_scheme=True)
    ordinary = _boxes(sold, bought, {VatScheme.ORDINARY.value, EXTRA}, margin_scheme=False)
    boxes = ReturnBoxes(
        box_1=by_margin.box_1 + ordinary.box_1,
        box_6=by_margin.box_6 + ordinary.box_6,
        box_7=by_margin.box_7 + ordinary.box_7,
    )
    box_4 = sum((each.vat for kind, each in bought), ZERO)
    return VatAid(kinds, boxes, box_4)


def _boxes(
    sold: Iterable[Entry], bought: Iterable[Entry], kinds: set[str], *, margin_scheme: bool
) -> ReturnBoxes:
    """Return the boxes of some kinds."""
    return return_boxes(
        (each for kind, each in sold if kind in kinds),
        (each for kind, each in bought if kind in kinds),
        margin_scheme=margin_scheme,
    )


def _purchases(purchases: Iterable[Purchase], days: Days) -> Iterator[Entry]:
    """Yield what was bought in these days by kind, and what was reversed, below zero."""
    for each in purchases:
        kind, gone = POOLED if each.is_pooled else each.scheme, reversal_of(each)
        if each.bought_on in days:
            yield kind, Dealt(each.price, each.input_vat)
        if gone is not None and gone.reversed_on in days:
            yield kind, Dealt(-each.price, -each.input_vat, -1)


def _sales(purchases: Iterable[Purchase], days: Days) -> Iterator[Entry]:
    """Yield what was sold in these days by kind, and what was paid back of it, below zero."""
    sales = [sale for purchase in purchases for sale in purchase.sales.all()]
    along = _sold_along(sales)
    for sale in sales:
        note = note_of(sale)
        if sale.sold_on in days:
            whole = Left(sale.price, sale.total, sale.margin, sale.vat, along[sale.pk])
            yield from _entries(sale, whole, 1)
        for less in sale.reductions.all():
            if less.reduced_on in days:
                kind = _bike_kind(sale) if is_of_bike(less) else _along_kind(sale)
                yield kind, Dealt(-less.amount, -less.vat, 0)
        if note is not None and note.returned_on in days:
            yield from _entries(sale, left_of(sale, along[sale.pk]), -1)


def _bike_kind(sale: Sale) -> str:
    """Return the kind of VAT of a sale's bike."""
    return POOLED if sale.is_pooled else sale.scheme


def _along_kind(sale: Sale) -> str:
    """Return the kind of VAT of what was sold along."""
    return EXTRA if sale.scheme != VatScheme.NONE else _bike_kind(sale)


def _entries(sale: Sale, of: Left, sign: int) -> Iterator[Entry]:
    """Yield the bike of a sale, and what was sold along with it, where there was something."""
    yield _bike_kind(sale), Dealt(sign * of.price, sign * of.vat, sign)
    if sale.total != sale.price:
        along = Dealt(sign * (of.total - of.price), sign * of.along_vat, sign)
        yield _along_kind(sale), along


def _sold_along(sales: Iterable[Sale]) -> dict[int, Decimal]:
    """Return the VAT of what was sold along, by sale."""
    found: dict[int, Decimal] = defaultdict(Decimal)
    rows = Line.objects.filter(sale__in=[each.pk for each in sales], position__gt=1)
    for sale, vat in rows.values_list("sale_id", "vat"):
        found[sale] += vat
    return found


def _kind(kind: str, sold: Iterable[Entry], bought: Iterable[Entry]) -> KindSums:
    """Return the sums of one kind."""
    out = [each for name, each in sold if name == kind]
    came = [each for name, each in bought if name == kind]
    return KindSums(
        kind,
        sum(each.pieces for each in out),
        sum((each.gross for each in out), ZERO),
        sum((each.vat for each in out), ZERO),
        sum(each.pieces for each in came),
        sum((each.gross for each in came), ZERO),
        sum((each.vat for each in came), ZERO),
    )
