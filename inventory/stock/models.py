"""The stock ledger, the level it adds up to, reservations and stocktakes."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from simple_history.models import HistoricalRecords

from inventory.core.costing import Method
from inventory.fields import MoneyField
from inventory.parts.models import Part

QUANTITY: dict[str, Any] = {"max_digits": 11, "decimal_places": 2}
"""Of the part's unit, to a hundredth: cable is cut to the centimetre."""
PERSON: dict[str, Any] = {"on_delete": models.PROTECT, "related_name": "+"}


class CostMethod(models.TextChoices):
    """How the shop costs what it draws."""

    AVERAGE = Method.AVERAGE.value, "moving weighted average"
    FIFO = Method.FIFO.value, "first in, first out"


class StockSettings(models.Model):
    """The shop's choices for its stock."""

    method = models.CharField(
        "draws are costed by", max_length=8, choices=CostMethod.choices, default=CostMethod.AVERAGE
    )
    history = HistoricalRecords()

    class Meta:
        """One row only."""

        constraints = (models.CheckConstraint(condition=Q(pk=1), name="one_stock_settings"),)

    def __str__(self) -> str:
        """Return the method."""
        return self.get_method_display()


class MovementKind(models.TextChoices):
    """What a movement says happened."""

    GOODS_IN = "goods_in", "goods in"
    DRAW = "draw", "drawn"
    RETURN = "return", "returned"
    SCRAP = "scrap", "scrapped"
    COUNT = "count", "stocktake correction"
    STRIP = "strip", "stripped from a bike"
    REVERSAL = "reversal", "taken back"
    REVALUATION = "revaluation", "cost put right"


INCOMING = (MovementKind.GOODS_IN, MovementKind.RETURN, MovementKind.STRIP)
OUTGOING = (MovementKind.DRAW, MovementKind.SCRAP)
BOTH_WAYS = (MovementKind.COUNT, MovementKind.REVERSAL)


class Grade(models.TextChoices):
    """How good a used part is."""

    LIKE_NEW = "like_new", "like new"
    GOOD = "good", "good, signs of use"
    WORN = "worn", "worn, still serviceable"


class KeptError(Exception):
    """Raised when a movement would be changed or deleted."""

    def __init__(self) -> None:
        super().__init__("A stock movement stays as it is. Take it back with another one.")


class StockMovement(models.Model):
    """One row of the ledger, written once.

    ``quantity`` is in the part's unit and ``value`` net in whole minor units; both are below zero
    for what goes out. ``at`` is when it happened, ``recorded_at`` when it was entered. A
    revaluation has no quantity: it ``corrects`` the value of an issue, or of what came back from
    it, after goods that were entered late. A reversal takes another movement back as of its own
    time. ``key`` is the caller's: the same one twice is the same movement.
    """

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="movements")
    kind = models.CharField("what happened", max_length=12, choices=MovementKind.choices)
    quantity = models.DecimalField("quantity", **QUANTITY)
    value = MoneyField("value, net", signed=True)
    at = models.DateTimeField("when")
    recorded_at = models.DateTimeField("entered", auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, **PERSON)
    reference = models.CharField("for", max_length=120, blank=True)
    grade = models.CharField("grade", max_length=10, choices=Grade.choices, blank=True)
    key = models.CharField(max_length=80, unique=True)
    reversal_of = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversal"
    )
    corrects = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrections"
    )
    returns = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="returned"
    )

    class Meta:
        """As they took effect, and the limits that the database holds."""

        ordering = ("at", "pk")
        indexes = (models.Index(fields=("part", "at", "id"), name="movement_of_part_by_time"),)
        constraints = (
            models.CheckConstraint(
                condition=Q(kind__in=INCOMING, quantity__gt=0, value__gte=0)
                | Q(kind__in=OUTGOING, quantity__lt=0, value__lte=0)
                | Q(kind__in=BOTH_WAYS, quantity__gt=0, value__gte=0)
                | Q(kind__in=BOTH_WAYS, quantity__lt=0, value__lte=0)
                | Q(kind=MovementKind.REVALUATION, quantity=0),
                name="movement_goes_the_way_of_its_kind",
            ),
            models.CheckConstraint(
                condition=Q(kind=MovementKind.REVALUATION, corrects__isnull=False)
                | (~Q(kind=MovementKind.REVALUATION) & Q(corrects__isnull=True)),
                name="movement_revaluation_corrects_one",
            ),
            models.CheckConstraint(
                condition=Q(kind=MovementKind.REVERSAL, reversal_of__isnull=False)
                | (~Q(kind=MovementKind.REVERSAL) & Q(reversal_of__isnull=True)),
                name="movement_reversal_takes_one_back",
            ),
        )

    def __str__(self) -> str:
        """Return what happened to how many."""
        return f"{self.get_kind_display()}: {plain(abs(self.quantity))} {self.part.unit}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save once.

        Raises:
            KeptError: it is saved already.
        """
        if not self._state.adding:
            raise KeptError
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse.

        Raises:
            KeptError: always.
        """
        raise KeptError


class StockLevel(models.Model):
    """What the movements of a part add up to: how many there are, for how many, worth what.

    Kept in the transaction of each movement under a lock on this row; never written otherwise.
    """

    part = models.OneToOneField(
        Part, on_delete=models.PROTECT, related_name="level", primary_key=True
    )
    on_hand = models.DecimalField("on hand", default=Decimal(0), **QUANTITY)
    reserved = models.DecimalField("reserved", default=Decimal(0), **QUANTITY)
    value = MoneyField("value, net", default=Decimal(0))
    method = models.CharField(max_length=8, choices=CostMethod.choices, default=CostMethod.AVERAGE)

    class Meta:
        """The limits that the database holds."""

        constraints = (
            models.CheckConstraint(
                condition=Q(on_hand__gte=0) & Q(reserved__gte=0) & Q(reserved__lte=F("on_hand")),
                name="level_never_below_zero_nor_reserved",
            ),
            models.CheckConstraint(
                condition=Q(on_hand__gt=0, value__gte=0) | Q(on_hand=0, value=0),
                name="level_value_of_what_is_there",
            ),
        )

    def __str__(self) -> str:
        """Return how many there are."""
        return f"{plain(self.on_hand)} {self.part.unit} on hand"

    @property
    def available(self) -> Decimal:
        """Return how many nobody has reserved."""
        return self.on_hand - self.reserved


class Reservation(models.Model):
    """Parts set aside for something; ``left`` is what has neither been drawn nor released."""

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="reservations")
    quantity = models.DecimalField("quantity", **QUANTITY)
    left = models.DecimalField("still reserved", **QUANTITY)
    reference = models.CharField("for", max_length=120)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, **PERSON)
    at = models.DateTimeField(auto_now_add=True)
    key = models.CharField(max_length=80, unique=True)

    class Meta:
        """Oldest first, and the limits that the database holds."""

        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(
                condition=Q(quantity__gt=0) & Q(left__gte=0) & Q(left__lte=F("quantity")),
                name="reservation_left_within_quantity",
            ),
        )

    def __str__(self) -> str:
        """Return how many for what."""
        return f"{plain(self.left)} for {self.reference}"


class Stocktake(models.Model):
    """A count of what lies at one shelf place, while the shop goes on working."""

    place = models.CharField("shelf place", max_length=40)
    started_at = models.DateTimeField(auto_now_add=True)
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, **PERSON)
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, **PERSON)

    class Meta:
        """Newest first; one open count a place."""

        ordering = ("-pk",)
        constraints = (
            models.UniqueConstraint(
                fields=("place",),
                condition=Q(closed_at__isnull=True),
                name="one_open_stocktake_a_place",
            ),
        )

    def __str__(self) -> str:
        """Return where it is."""
        return f"stocktake of {self.place}"


class StockCount(models.Model):
    """How many of a part somebody counted, and when: compared with the level at that moment."""

    stocktake = models.ForeignKey(Stocktake, on_delete=models.CASCADE, related_name="counts")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    counted = models.DecimalField("counted", **QUANTITY)
    counted_at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, **PERSON)

    class Meta:
        """One count of a part in a stocktake."""

        ordering = ("part__name",)
        constraints = (
            models.UniqueConstraint(fields=("stocktake", "part"), name="one_count_a_part"),
            models.CheckConstraint(condition=Q(counted__gte=0), name="count_not_negative"),
        )

    def __str__(self) -> str:
        """Return how many of what."""
        return f"{plain(self.counted)} × {self.part}"


def plain(quantity: Decimal) -> str:
    """Return a quantity without needless zeros."""
    return f"{quantity.normalize():f}"
