"""Purchase orders, their lines, what was sent, and what came of it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from babel.numbers import get_currency_symbol
from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inventory.core.money import quantise
from inventory.fields import MoneyField
from inventory.parts.models import Part
from inventory.stock.models import PERSON, QUANTITY, StockMovement
from inventory.suppliers.models import Supplier, SupplierPart, in_per_cent

MOST_PACKS = 9999
SURE: dict[str, Any] = {"max_digits": 4, "decimal_places": 3}
LEAST_SURE, MOST_SURE = Decimal("0.5"), Decimal("0.999")


class KeptOrderError(Exception):
    """Raised when something of an order that was sent would be changed or deleted."""

    def __init__(self) -> None:
        super().__init__("An order that was sent stays as it is. Cancel or close it.")


class PurchasingSettings(models.Model):
    """The shop's choices for ordering.

    ``service_level`` is the share of orders during whose lead time nothing should run out,
    ``usage_days`` how far back usage is reckoned, ``look_every`` how many days lie between looks
    at what is short.
    """

    service_level = models.DecimalField(
        "service level",
        default=Decimal("0.95"),
        validators=[MinValueValidator(LEAST_SURE), MaxValueValidator(MOST_SURE)],
        **SURE,
    )
    usage_days = models.PositiveSmallIntegerField(
        "usage of the last (days)",
        default=180,
        validators=[MinValueValidator(28), MaxValueValidator(1095)],
    )
    look_every = models.PositiveSmallIntegerField(
        "somebody looks every (days)",
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(31)],
    )
    history = HistoricalRecords()

    class Meta:
        """One row only, within bounds."""

        constraints = (
            models.CheckConstraint(condition=Q(pk=1), name="one_purchasing_settings"),
            models.CheckConstraint(
                condition=Q(service_level__gte=LEAST_SURE, service_level__lte=MOST_SURE)
                & Q(usage_days__gte=28, look_every__gte=1),
                name="purchasing_settings_within_bounds",
            ),
        )

    def __str__(self) -> str:
        """Return the service level in per cent."""
        return f"service level {self.level_words}"

    @property
    def level_words(self) -> str:
        """Return the service level in per cent."""
        return in_per_cent(Decimal(self.service_level))


class State(models.TextChoices):
    """How far an order has come."""

    DRAFT = "draft", "draft"
    ORDERED = "ordered", "ordered"
    PART_DELIVERED = "part_delivered", "part delivered"
    CLOSED = "closed", "closed"
    CANCELLED = "cancelled", "cancelled"


OPEN = (State.ORDERED, State.PART_DELIVERED)


class PurchaseOrder(models.Model):
    """An order to a supplier, in the supplier's currency; a sent one is frozen but for its state.

    ``supplier_name``, ``own_number`` and ``terms`` are what the supplier's page said when it was
    sent. ``close_reason`` is empty where all has come.
    """

    number = models.CharField("number", max_length=12, blank=True)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="orders")
    state = models.CharField("state", max_length=16, choices=State.choices, default=State.DRAFT)
    currency = models.CharField("currency", max_length=3)
    note = models.TextField("note to the supplier", max_length=1000, blank=True)
    supplier_name = models.CharField(max_length=120, blank=True)
    own_number = models.CharField("our customer number", max_length=40, blank=True)
    terms = models.CharField("terms of payment", max_length=200, blank=True)
    carriage_net = MoneyField("carriage, net", null=True, blank=True)
    made_at = models.DateTimeField("made", auto_now_add=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, **PERSON)
    ordered_at = models.DateTimeField("ordered", null=True, blank=True)
    ordered_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, **PERSON)
    expected_on = models.DateField("expected", null=True, blank=True)
    closed_at = models.DateTimeField("closed", null=True, blank=True)
    closed_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, **PERSON)
    close_reason = models.CharField("why", max_length=120, blank=True)

    class Meta:
        """Newest first, and the limits that the database holds."""

        ordering = ("-pk",)
        constraints = (
            models.UniqueConstraint(
                fields=("number",), condition=~Q(number=""), name="purchase_order_number_once"
            ),
            models.UniqueConstraint(
                fields=("supplier",), condition=Q(state=State.DRAFT), name="one_draft_a_supplier"
            ),
            models.CheckConstraint(
                condition=Q(state=State.DRAFT, number="", ordered_at__isnull=True)
                | (~Q(state=State.DRAFT) & ~Q(number="") & Q(ordered_at__isnull=False)),
                name="purchase_order_numbered_once_ordered",
            ),
            models.CheckConstraint(
                condition=Q(state__in=(State.CLOSED, State.CANCELLED), closed_at__isnull=False)
                | (~Q(state__in=(State.CLOSED, State.CANCELLED)) & Q(closed_at__isnull=True)),
                name="purchase_order_closed_at_a_time",
            ),
            models.CheckConstraint(
                condition=~Q(state=State.CANCELLED) | ~Q(close_reason=""),
                name="purchase_order_cancelled_for_a_reason",
            ),
        )

    def __str__(self) -> str:
        """Return the number, or whose draft it is."""
        return self.number or f"draft for {self.supplier}"

    @property
    def is_draft(self) -> bool:
        """Tell whether it may still be changed."""
        return self.state == State.DRAFT

    @property
    def is_open(self) -> bool:
        """Tell whether goods are still to come."""
        return self.state in OPEN

    @property
    def currency_sign(self) -> str:
        """Return the sign of its currency."""
        return get_currency_symbol(self.currency, "en_GB")

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Delete a draft.

        Raises:
            KeptOrderError: it was sent.
        """
        if not self.is_draft:
            raise KeptOrderError
        return super().delete(*args, **kwargs)


class PurchaseLine(models.Model):
    """So many packs of an article at a price for one pack, net, in the order's currency.

    ``pack`` is how many of the part's unit come in one. ``key`` is the caller's: the same one
    twice is the same line.
    """

    order = models.ForeignKey(PurchaseOrder, on_delete=models.CASCADE, related_name="lines")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="ordered")
    article = models.ForeignKey(
        SupplierPart, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    code = models.CharField("supplier's code", max_length=60, blank=True)
    name = models.CharField("name", max_length=200)
    pack = models.PositiveIntegerField("pack of", default=1)
    packs = models.PositiveIntegerField("packs")
    pack_cost_net = MoneyField("price of a pack, net")
    key = models.CharField(max_length=80, unique=True)

    class Meta:
        """As they were added, and the limits that the database holds."""

        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(
                condition=Q(pack__gte=1, packs__gte=1, packs__lte=MOST_PACKS)
                & Q(pack_cost_net__gte=0),
                name="purchase_line_of_packs_at_a_price",
            ),
        )

    def __str__(self) -> str:
        """Return how many packs of what."""
        return f"{self.packs} × {self.name}"

    @property
    def pieces(self) -> Decimal:
        """Return how many of the part's unit are ordered."""
        return Decimal(self.packs * self.pack)

    @property
    def amount_net(self) -> Decimal:
        """Return what the line comes to, net, in the order's currency."""
        return quantise(self.packs * self.pack_cost_net, self.order.currency)


class OrderDocument(models.Model):
    """The PDF of an order as it was sent."""

    order = models.OneToOneField(PurchaseOrder, on_delete=models.PROTECT, related_name="document")
    pdf = models.BinaryField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        """Names."""

        verbose_name = "order as it was sent"
        verbose_name_plural = "orders as they were sent"

    def __str__(self) -> str:
        """Return whose it is."""
        return f"PDF of {self.order}"


class Delivery(models.Model):
    """Goods that came of an order at one time, written once.

    ``rate`` is what one unit of the order's currency cost in the shop's; ``key`` is the caller's:
    the same one twice is the same delivery.
    """

    order = models.ForeignKey(PurchaseOrder, on_delete=models.PROTECT, related_name="deliveries")
    came_on = models.DateField("came on")
    reference = models.CharField("delivery note", max_length=80, blank=True)
    rate = models.DecimalField("rate of exchange", max_digits=12, decimal_places=6, default=1)
    recorded_at = models.DateTimeField("entered", auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, **PERSON)
    key = models.CharField(max_length=50, unique=True)

    class Meta:
        """As they came."""

        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(condition=Q(rate__gt=0), name="delivery_rate_above_zero"),
        )

    def __str__(self) -> str:
        """Return of which order, and when."""
        return f"delivery of {self.order} on {self.came_on:%d.%m.%Y}"


class DeliveryLine(models.Model):
    """What came of a line, in the part's unit, and the movement by which it was booked in.

    ``pack_cost_net`` is what a pack really cost, in the order's currency. It counts as long as
    nobody takes the movement back. ``over_reason`` says why more is kept than was ordered.
    """

    delivery = models.ForeignKey(Delivery, on_delete=models.PROTECT, related_name="lines")
    line = models.ForeignKey(PurchaseLine, on_delete=models.PROTECT, related_name="came")
    quantity = models.DecimalField("quantity", **QUANTITY)
    pack_cost_net = MoneyField("price of a pack, net")
    movement = models.OneToOneField(
        StockMovement, on_delete=models.PROTECT, related_name="delivery_line"
    )
    over_reason = models.CharField("why more is kept", max_length=120, blank=True)

    class Meta:
        """As they were entered, and the limits that the database holds."""

        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(fields=("delivery", "line"), name="one_row_a_line_delivered"),
            models.CheckConstraint(
                condition=Q(quantity__gt=0) & Q(pack_cost_net__gte=0),
                name="delivered_above_zero_at_a_price",
            ),
        )

    def __str__(self) -> str:
        """Return how many of what."""
        return f"{self.quantity.normalize():f} of {self.line}"

    @property
    def dearer_net(self) -> Decimal:
        """Return by how much it cost more than was ordered, net, in the order's currency."""
        each = self.pack_cost_net - self.line.pack_cost_net
        return quantise(each * self.quantity / self.line.pack, self.line.order.currency)


def day_words(day: dt.date) -> str:
    """Return a day as messages write it."""
    return f"{day:%d.%m.%Y}"
