"""Suppliers, their price lists that hold, and their articles at dated prices."""

from __future__ import annotations

from decimal import Decimal

from babel.numbers import get_currency_symbol, is_currency
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from simple_history.models import HistoricalRecords

from inventory.fields import SHARE_LIMITS, MoneyField
from inventory.parts.models import Part

LONGEST_LEAD_DAYS = 365
FINE = Decimal("0.0001")


def check_currency(code: str) -> None:
    """Refuse a code that ISO 4217 does not have."""
    if not is_currency(code):
        raise ValidationError(f"“{code}” is no currency. Write its three letters, such as GBP.")


def in_per_cent(share: Decimal) -> str:
    """Return a share as it is read, ``40 %``; a dash where there is none."""
    return f"{(share * 100).normalize():f} %" if share else "–"


class Supplier(models.Model):
    """Somebody the shop buys parts from.

    ``lead_days`` are working days from order to goods in. ``carriage_free_net`` is the net value
    of an order from which carriage is free, ``carriage_net`` what it costs below; both in the
    supplier's currency. ``version`` counts the changes of its articles.
    """

    name = models.CharField("name", max_length=120)
    contact = models.CharField("contact", max_length=120, blank=True)
    email = models.EmailField("e-mail", blank=True)
    phone = models.CharField("phone", max_length=40, blank=True)
    web = models.URLField("web address", blank=True)
    own_number = models.CharField("our customer number", max_length=40, blank=True)
    currency = models.CharField(
        "currency", max_length=3, validators=[check_currency], help_text="GBP, EUR … (ISO 4217)."
    )
    terms = models.CharField(
        "terms of payment", max_length=200, blank=True, help_text="Such as 30 days net."
    )
    carriage_free_net = MoneyField("carriage free from, net", null=True, blank=True)
    carriage_net = MoneyField("carriage below that, net", null=True, blank=True)
    lead_days = models.PositiveSmallIntegerField("lead time", null=True, blank=True)
    note = models.TextField("note", max_length=1000, blank=True)
    active = models.BooleanField("in use", default=True)
    version = models.PositiveIntegerField(default=0, editable=False)
    history = HistoricalRecords(excluded_fields=["version"])

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("name",)
        constraints = (
            models.UniqueConstraint(
                Lower("name"),
                name="supplier_name_once",
                violation_error_message="There is a supplier of this name already.",
            ),
            models.CheckConstraint(condition=~Q(name=""), name="supplier_has_a_name"),
            models.CheckConstraint(
                condition=(Q(carriage_free_net__isnull=True) | Q(carriage_free_net__gte=0))
                & (Q(carriage_net__isnull=True) | Q(carriage_net__gte=0)),
                name="supplier_carriage_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(lead_days__isnull=True) | Q(lead_days__lte=LONGEST_LEAD_DAYS),
                name="supplier_lead_days_plausible",
            ),
        )

    def __str__(self) -> str:
        """Return the name."""
        return self.name

    @property
    def currency_sign(self) -> str:
        """Return the sign of the supplier's currency."""
        return get_currency_symbol(self.currency, "en_GB")


class PriceList(models.Model):
    """A supplier's price list as it was applied; prices hold from ``valid_from`` on."""

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="price_lists")
    name = models.CharField("name", max_length=200)
    valid_from = models.DateField("valid from")
    applied_at = models.DateTimeField(auto_now_add=True)
    applied_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    added = models.PositiveIntegerField("new", default=0)
    changed = models.PositiveIntegerField("changed", default=0)
    ended = models.PositiveIntegerField("no longer sold", default=0)

    class Meta:
        """Newest first."""

        ordering = ("-applied_at", "-pk")

    def __str__(self) -> str:
        """Return the name and from when it holds."""
        return f"{self.name}, from {self.valid_from:%d.%m.%Y}"


class SupplierPart(models.Model):
    """An article of a supplier at a price that holds from a day on, until the next one does.

    Prices are net, in the supplier's currency, for one pack of ``pack`` pieces: ``cost_net`` is
    the list price less the discount (a fraction). A row is never changed but for its match with
    one of our parts and the day it ends: a new price is a new row.
    """

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="articles")
    part = models.ForeignKey(
        Part, on_delete=models.PROTECT, related_name="supplied", null=True, blank=True
    )
    code = models.CharField("supplier's code", max_length=60)
    gtin = models.CharField("article number (GTIN)", max_length=14, blank=True)
    name = models.CharField("name", max_length=200)
    pack = models.PositiveIntegerField("pack of", default=1, validators=[MinValueValidator(1)])
    currency = models.CharField("currency", max_length=3)
    list_price_net = MoneyField("list price, net")
    discount = models.DecimalField(
        "discount", max_digits=6, decimal_places=4, default=Decimal(0), validators=SHARE_LIMITS
    )
    cost_net = MoneyField("cost, net")
    price_list = models.ForeignKey(
        PriceList, on_delete=models.PROTECT, related_name="articles", null=True
    )
    valid_from = models.DateField("valid from")
    valid_until = models.DateField("no longer from", null=True, blank=True)

    class Meta:
        """Order, indexes and the limits that the database holds."""

        ordering = ("code", "-valid_from", "-pk")
        indexes = (
            models.Index(
                fields=("supplier", "gtin"), condition=~Q(gtin=""), name="supplierpart_by_gtin"
            ),
        )
        constraints = (
            models.UniqueConstraint(
                fields=("supplier", "code"),
                condition=Q(valid_until__isnull=True),
                name="supplierpart_one_price_holds",
            ),
            models.CheckConstraint(
                condition=Q(list_price_net__gte=0) & Q(cost_net__gte=0),
                name="supplierpart_money_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(discount__gte=0) & Q(discount__lte=1) & Q(pack__gte=1),
                name="supplierpart_discount_and_pack",
            ),
            models.CheckConstraint(condition=~Q(code=""), name="supplierpart_has_a_code"),
            models.CheckConstraint(
                condition=Q(valid_until__isnull=True) | Q(valid_until__gte=F("valid_from")),
                name="supplierpart_ends_after_it_begins",
            ),
        )

    def __str__(self) -> str:
        """Return the code and the name."""
        return f"{self.code} {self.name}"

    @property
    def unit_cost_net(self) -> Decimal:
        """Return the cost of one piece, net, in the supplier's currency, to 1/10,000."""
        cost: Decimal = self.cost_net / self.pack
        return cost.quantize(FINE)

    @property
    def discount_words(self) -> str:
        """Return the discount in per cent."""
        return in_per_cent(self.discount)
