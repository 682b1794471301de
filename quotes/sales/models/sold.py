"""A sale with the lines of its invoice, and the credit notes: for part of it, or for all."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from inventory.fields import MoneyField
from quotes.pool.models import PoolEntry
from quotes.sales.models.bought import Payment, Purchase
from quotes.sales.models.kept import Kept
from workshop.shop.models import SHARE, VatScheme

LONGEST_WARRANTY_MONTHS = 120


class Channel(models.TextChoices):
    """Where a bike was sold."""

    SHOP = "shop", "in the shop"
    ONLINE = "online", "advertised online"
    MARKET = "market", "market or fair"
    TRADE = "trade", "to the trade"


class Sale(Kept):
    """A bike sold. ``number`` is the invoice's; amounts are gross, as paid.

    ``price`` is the bike's, ``total`` that of all lines. ``margin`` is the selling less the
    purchase price, below zero for a loss; ``vat`` is that on the bike alone: in its price, or in
    its margin where it is taxed by itself. A pooled one is taxed with its period. ``turn`` counts
    the sales of one purchase: a second one follows a return.
    """

    number = models.CharField("invoice", max_length=12, unique=True)
    purchase = models.ForeignKey(Purchase, on_delete=models.PROTECT, related_name="sales")
    turn = models.PositiveSmallIntegerField(default=1)
    sold_on = models.DateField("sold on")
    price = MoneyField("price of the bike")
    total = MoneyField("total")
    scheme = models.CharField("VAT", max_length=10, choices=VatScheme.choices)
    vat_rate = models.DecimalField("VAT rate", **SHARE)
    margin = MoneyField("margin", signed=True)
    vat = MoneyField("VAT on the bike")
    legend = models.CharField("words on the invoice", max_length=300, blank=True)
    channel = models.CharField("sold", max_length=10, choices=Channel.choices)
    fees_net = MoneyField("selling fees, net")
    warranty_months = models.PositiveSmallIntegerField("warranty, months")
    payment = models.CharField("paid by", max_length=10, choices=Payment.choices)
    pool_entry = models.OneToOneField(
        PoolEntry, on_delete=models.PROTECT, null=True, blank=True, related_name="stock_sale"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """In the order of their numbers, and the limits that the database holds."""

        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(fields=("purchase", "turn"), name="one_sale_a_turn"),
            models.CheckConstraint(
                condition=Q(price__gt=0) & Q(total__gte=F("price")), name="sale_has_a_price"
            ),
            models.CheckConstraint(
                condition=Q(vat__gte=0)
                & Q(vat__lte=F("price"))
                & (~Q(scheme="none") | Q(vat=0))
                & (~Q(scheme="margin", margin__lte=0) | Q(vat=0)),
                name="sale_vat_of_its_scheme",
            ),
            models.CheckConstraint(
                condition=Q(pool_entry__isnull=True) | Q(scheme="margin", vat=0),
                name="sale_pooled_is_taxed_there",
            ),
            models.CheckConstraint(
                condition=~Q(scheme="margin") | ~Q(legend=""), name="margin_sale_has_its_words"
            ),
            models.CheckConstraint(
                condition=Q(warranty_months__lte=LONGEST_WARRANTY_MONTHS, fees_net__gte=0),
                name="sale_warranty_and_fees_plausible",
            ),
        )

    def __str__(self) -> str:
        """Return the invoice's number."""
        return self.number

    @property
    def is_pooled(self) -> bool:
        """Tell whether it is taxed in the pool."""
        return self.pool_entry_id is not None


class Line(Kept):
    """A line of an invoice: the bike, or something sold with it. Amounts gross, as paid.

    ``vat`` is what the invoice shows: nothing for a bike under the margin scheme.
    """

    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    description = models.CharField("what it is", max_length=300)
    vat_rate = models.DecimalField("VAT rate shown", null=True, blank=True, **SHARE)
    vat = MoneyField("VAT shown", default=0)
    gross = MoneyField("amount")

    class Meta:
        """In their order, and the limits that the database holds."""

        ordering = ("sale_id", "position")
        verbose_name = "line of an invoice"
        verbose_name_plural = "lines of invoices"
        constraints = (
            models.UniqueConstraint(fields=("sale", "position"), name="one_line_a_position"),
            models.CheckConstraint(
                condition=Q(gross__gte=0, vat__gte=0, vat__lte=F("gross"))
                & (Q(vat_rate__isnull=False) | Q(vat=0)),
                name="invoice_line_vat_in_amount",
            ),
        )

    def __str__(self) -> str:
        """Return what it is."""
        return self.description


class Reduction(Kept):
    """A credit note for part of a price: some of it is paid back, the bike stays sold.

    ``amount`` is gross, as paid back, of one line; ``left`` is what remains of that line. ``vat``
    is the VAT that falls away: what the line bore before, less what a line of the price that is
    left bears. For a pooled bike that is nothing here: the sales of the pool's period fall.
    """

    number = models.CharField("credit note", max_length=12, unique=True)
    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, related_name="reductions")
    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="reductions")
    reduced_on = models.DateField("paid back on")
    reason = models.CharField("why", max_length=200)
    amount = MoneyField("paid back")
    vat = MoneyField("VAT that falls away", default=0)
    left = MoneyField("left of the line")
    pool_entry = models.OneToOneField(
        PoolEntry, on_delete=models.PROTECT, null=True, blank=True, related_name="stock_reduction"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """In the order of their numbers; never more than was paid, each says why."""

        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(
                condition=Q(amount__gt=0, left__gte=0), name="reduction_within_the_line"
            ),
            models.CheckConstraint(
                condition=Q(vat__gte=0, vat__lte=F("amount"))
                & (Q(pool_entry__isnull=True) | Q(vat=0)),
                name="reduction_vat_in_amount",
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="reduction_says_why"),
        )

    def __str__(self) -> str:
        """Return its number."""
        return self.number


class CreditNote(Kept):
    """The taking back of a sale: the bike is in stock again, all that was paid is paid back."""

    number = models.CharField("credit note", max_length=12, unique=True)
    sale = models.OneToOneField(Sale, on_delete=models.PROTECT, related_name="credit_note")
    returned_on = models.DateField("taken back on")
    reason = models.CharField("why", max_length=200)
    to_bench = models.BooleanField("looked over again before it is sold", default=True)
    pool_entry = models.OneToOneField(
        PoolEntry, on_delete=models.PROTECT, null=True, blank=True, related_name="stock_return"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """In the order of their numbers; each says why."""

        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(condition=~Q(reason=""), name="credit_note_says_why"),
        )

    def __str__(self) -> str:
        """Return its number."""
        return self.number
