"""A purchase into stock: the row of the stock book that it opens, and what reverses it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from inventory.fields import MoneyField
from quotes.buyin.models import MarginCheck
from quotes.pool.models import PoolEntry
from quotes.provenance.models import ProvenanceCheck
from quotes.sales.models.kept import Kept
from workshop.bikes.models import Bike
from workshop.shop.models import SHARE, VatScheme


class Payment(models.TextChoices):
    """How money changed hands."""

    TRANSFER = "transfer", "bank transfer"
    CASH = "cash", "cash"
    CARD = "card", "card"
    EXCHANGE = "exchange", "part exchange"


class Purchase(Kept):
    """A bike bought into stock, as the stock book keeps it.

    ``price`` is gross, as paid. ``receipt_no`` is that of the receipt that the shop makes and the
    seller signs; where the seller makes an invoice, ``seller_invoice`` is its number instead.
    ``vat_shown`` says that VAT stands on it: the bike is then not eligible for the margin scheme,
    and ``input_vat`` is what the shop gets back. Who sold it stands in ``Party``. A decision to buy
    is entered once; anew only where the row before was reversed.
    """

    number = models.CharField("stock book number", max_length=12, unique=True)
    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="purchases")
    check_made = models.ForeignKey(
        MarginCheck, on_delete=models.PROTECT, related_name="purchases", verbose_name="margin check"
    )
    provenance = models.ForeignKey(
        ProvenanceCheck, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    unchecked_reason = models.CharField(
        "why it was bought without a passed provenance check", max_length=200, blank=True
    )
    bought_on = models.DateField("bought on")
    receipt_no = models.CharField("receipt", max_length=12, unique=True, null=True, blank=True)
    seller_invoice = models.CharField("seller's invoice", max_length=40, blank=True)
    price = MoneyField("purchase price")
    vat_shown = models.BooleanField("VAT is shown on the seller's invoice", default=False)
    vat_rate = models.DecimalField("VAT rate on it", default=0, **SHARE)
    input_vat = MoneyField("VAT to get back", default=0)
    scheme = models.CharField("VAT on resale", max_length=10, choices=VatScheme.choices)
    payment = models.CharField("paid by", max_length=10, choices=Payment.choices)
    description = models.CharField("description", max_length=240)
    frame_number = models.CharField("frame number", max_length=240)
    pool_entry = models.OneToOneField(
        PoolEntry, on_delete=models.PROTECT, null=True, blank=True, related_name="stock_purchase"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """In the order of the book, and the limits that the database holds."""

        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(condition=Q(price__gte=0), name="purchase_price_not_negative"),
            models.CheckConstraint(
                condition=Q(vat_shown=False, input_vat=0, vat_rate=0)
                | (
                    Q(vat_shown=True, input_vat__gte=0, input_vat__lte=F("price"))
                    & ~Q(scheme="margin")
                    & ~Q(seller_invoice="")
                ),
                name="vat_shown_is_no_margin_scheme",
            ),
            models.CheckConstraint(
                condition=Q(receipt_no__isnull=True) ^ Q(seller_invoice=""),
                name="purchase_has_one_document",
            ),
            models.CheckConstraint(
                condition=Q(scheme__in=VatScheme.values), name="purchase_scheme_known"
            ),
            models.CheckConstraint(
                condition=Q(pool_entry__isnull=True) | Q(scheme="margin"),
                name="purchase_pooled_under_margin_scheme",
            ),
            models.CheckConstraint(
                condition=Q(provenance__isnull=False) | ~Q(unchecked_reason=""),
                name="purchase_checked_or_says_why_not",
            ),
        )

    def __str__(self) -> str:
        """Return the number in the book."""
        return self.number

    @property
    def document_no(self) -> str:
        """Return the number of the receipt, or of the seller's invoice."""
        return self.receipt_no or self.seller_invoice

    @property
    def is_pooled(self) -> bool:
        """Tell whether it came into the pool."""
        return self.pool_entry_id is not None


class Reversal(Kept):
    """The taking back of a purchase that was entered wrongly: the row counts no more.

    With ``still_bought`` the bike is the shop's all the same and is entered anew; else it was not
    bought, and the decision is open again.
    """

    purchase = models.OneToOneField(Purchase, on_delete=models.PROTECT, related_name="reversal")
    reversed_on = models.DateField("reversed on")
    reason = models.CharField("why", max_length=200)
    still_bought = models.BooleanField("the bike is bought, and entered anew")
    pool_entry = models.OneToOneField(
        PoolEntry, on_delete=models.PROTECT, null=True, blank=True, related_name="stock_reversal"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """In the order in which they were made; each says why."""

        ordering = ("pk",)
        constraints = (models.CheckConstraint(condition=~Q(reason=""), name="reversal_says_why"),)

    def __str__(self) -> str:
        """Return what it reverses."""
        return f"{self.purchase}, reversed"
