"""Sells demo bikes with all their papers; one of them comes back, of another part is paid back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from quotes.demo.rows import BikeRow, DemoError, read_csv
from quotes.provenance.models import Document, Proof, ProvenanceCheck, RegisterResult
from quotes.provenance.verbs.conclude import pass_check
from quotes.provenance.verbs.note_proof import note_proof
from quotes.provenance.verbs.note_register import note_register
from quotes.provenance.verbs.note_seller import SellerSeen, note_seller
from quotes.provenance.verbs.note_signed import note_signed
from quotes.provenance.verbs.read_frame import read_frame
from quotes.provenance.verbs.start import start_check
from quotes.resale.models import Grade
from quotes.sales.models import Channel, Payment, Purchase, Sale
from quotes.sales.selectors.left import BIKE
from quotes.sales.verbs.reduce import PaidBack, reduce_price
from quotes.sales.verbs.sell import Extra, Sold, sell
from quotes.sales.verbs.take_back import take_back
from workshop.bikes.models import Bike, Stage
from workshop.customers.models import Customer
from workshop.people.models import User
from workshop.shop.selectors import current_shop

FILE = "sales.csv"
BACK_AFTER_DAYS = 6
WARRANTY_MONTHS = 6


@dataclass(frozen=True, slots=True)
class SaleRow:
    """How a demo bike was bought and sold; ``days`` lie between, ``taken_back`` says why.

    ``paid_back`` is how much of the price was paid back later, and why.
    """

    paid: Decimal
    days: int
    sold_for: Decimal
    channel: str
    condition: Grade
    buyer: str
    address: str
    along: tuple[Extra, ...]
    taken_back: str
    paid_back: tuple[Decimal, str] | None


def sale_rows() -> dict[str, SaleRow]:
    """Return how the demo's bikes were sold, by frame number.

    Raises:
        DemoError: a row can't be read; the message names file and line.
    """
    rows = {}
    for line, row in enumerate(read_csv(FILE), start=2):
        try:
            rows[row["frame_number"]] = _sale_row(row)
        except (ArithmeticError, KeyError, ValueError) as error:
            raise DemoError(f"fixtures/demo/{FILE}, line {line}: {error!r}.") from error
    return rows


def _sale_row(row: dict[str, str]) -> SaleRow:
    pairs = [each.split("=") for each in row["along"].split(";") if each]
    return SaleRow(
        Decimal(row["paid"]),
        int(row["days"]),
        Decimal(row["sold_for"]),
        row["channel"],
        Grade(int(row["condition"])),
        row["buyer"],
        row["address"],
        tuple(Extra(name, Decimal(price)) for name, price in pairs),
        row["taken_back"],
        _paid_back(row["paid_back"]),
    )


def _paid_back(text: str) -> tuple[Decimal, str] | None:
    """Return how much was paid back of a price and why: “15=a scratch”."""
    amount, _, reason = text.partition("=")
    return (Decimal(amount), reason) if text else None


def check_provenance(bike: Bike, desk: User, hand: User) -> ProvenanceCheck:
    """Return the passed provenance check of a bike whose seller showed a passport."""
    seller = bike.customer
    check = start_check(bike, desk)
    note_seller(
        check,
        SellerSeen(Document.PASSPORT, seller.name, seller.address, adult=True, number="X4417"),
    )
    read_frame(check, bike.frame_number, desk)
    read_frame(check, bike.frame_number, hand)
    note_proof(check, proof=Proof.RECEIPT, note="the receipt of its first shop")
    today = timezone.localdate()
    note_register(check, result=RegisterResult.NOT_LISTED, on=today, by=desk)
    note_signed(check, signed=True, by=desk)
    return pass_check(check, desk)


At = Callable[[int], AbstractContextManager[None]]
"""Lets things happen so many days ago."""


def sell_all(rows: Sequence[BikeRow], desk: User, manager: User, at: At) -> None:
    """Sell the bikes that are sold, in the order of their days; take one back where it says so."""
    sales = sale_rows()
    pairs = [(row, sales[row.fields["frame_number"]]) for row in rows if row.stage == Stage.SOLD]
    for row, sale in sorted(pairs, key=lambda pair: pair[1].days - pair[0].days_ago):
        day = row.days_ago - sale.days
        with at(day):
            made = _sell(row, sale, desk)
        if sale.taken_back:
            with at(day - BACK_AFTER_DAYS):
                _take_back(made, sale.taken_back, manager)
        if sale.paid_back:
            with at(day - BACK_AFTER_DAYS):
                _pay_back(made, *sale.paid_back, manager)


def _sell(row: BikeRow, sale: SaleRow, desk: User) -> Sale:
    """Return the sale of a bike today."""
    sold = Sold(
        sold_on=timezone.localdate(),
        price=sale.sold_for,
        buyer_name=sale.buyer,
        buyer_address=sale.address,
        payment=Payment.CARD,
        channel=sale.channel,
        warranty_months=WARRANTY_MONTHS,
        extras=sale.along,
        condition=sale.condition,
        customer=_customer(sale),
    )
    frame_number = row.fields["frame_number"]
    purchase = Purchase.objects.get(bike__frame_number=frame_number, reversal__isnull=True)
    return sell(purchase, sold, by=desk, shop=current_shop())


def _customer(sale: SaleRow) -> Customer | None:
    """Return the record of who buys in the shop; the others stand in the book alone."""
    if sale.channel != Channel.SHOP or sale.taken_back:
        return None
    return Customer(name=sale.buyer, address=sale.address)


def _pay_back(sale: Sale, amount: Decimal, reason: str, manager: User) -> None:
    """Pay part of the price of a bike back today."""
    paid = PaidBack(sale.lines.get(position=BIKE), amount, timezone.localdate(), reason)
    reduce_price(sale, paid, by=manager, shop=current_shop())


def _take_back(sale: Sale, reason: str, manager: User) -> None:
    """Take a sale back today; the bike is unused."""
    take_back(
        sale,
        returned_on=timezone.localdate(),
        reason=reason,
        to_bench=False,
        by=manager,
        shop=current_shop(),
    )
