"""Comparables: known prices of like bikes; and which of them were dropped for a bike."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inventory.fields import MoneyField
from workshop.bikes.models import EARLIEST_YEAR, Bike, Frame

LONGEST_SHELF_DAYS = 3650


class Grade(models.IntegerChoices):
    """The state of a bike as its price was asked or paid, 5 best."""

    PARTS = 1, "1 poor: for parts"
    TIRED = 2, "2 tired: rides, needs work"
    FAIR = 3, "3 fair: worn, nothing urgent"
    GOOD = 4, "4 good: fully serviced"
    AS_NEW = 5, "5 as new"


class PriceKind(models.TextChoices):
    """Whether a price was only asked, or paid."""

    ASKED = "asked", "asked"
    SOLD = "sold", "sold"


def likeness_key(text: str) -> str:
    """Return a make or model as it is compared: letters and figures only, without case."""
    return "".join(each for each in text.casefold() if each.isalnum())


class Comparable(models.Model):
    """A known asking or sold price of a like bike, gross, in the shop's currency.

    Its age is counted on the day the price was seen. ``days_on_shelf`` are the days from first
    offer to sale, or to the day it was seen. ``own_sale`` is the invoice's number where the shop
    sold it itself; such a row comes and goes with the sale.
    """

    make = models.CharField("make", max_length=60)
    model = models.CharField("model", max_length=80, blank=True)
    make_key = models.CharField(max_length=60, editable=False)
    model_key = models.CharField(max_length=80, blank=True, editable=False)
    frame = models.CharField("frame", max_length=10, choices=Frame.choices, default=Frame.FOLDING)
    maker_year = models.PositiveSmallIntegerField("maker's year")
    condition = models.PositiveSmallIntegerField("condition", choices=Grade.choices)
    price = MoneyField("price")
    kind = models.CharField("asked or sold", max_length=5, choices=PriceKind.choices)
    seen_on = models.DateField("seen on")
    days_on_shelf = models.PositiveSmallIntegerField("days on the shelf", null=True, blank=True)
    source = models.CharField("where it was seen", max_length=200, blank=True)
    own_sale = models.CharField(
        "own sale", max_length=12, unique=True, null=True, blank=True, editable=False
    )
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False
    )
    entered_at = models.DateTimeField(auto_now_add=True)
    history = HistoricalRecords(excluded_fields=["make_key", "model_key"])

    class Meta:
        """Order, indexes and the limits that the database holds."""

        ordering = ("-seen_on", "-pk")
        indexes = (
            models.Index(
                fields=("frame", "make_key", "model_key", "-seen_on"), name="comparable_likeness"
            ),
        )
        constraints = (
            models.CheckConstraint(condition=Q(price__gt=0), name="comparable_has_a_price"),
            models.CheckConstraint(
                condition=Q(condition__gte=Grade.PARTS) & Q(condition__lte=Grade.AS_NEW),
                name="comparable_condition_is_a_grade",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=PriceKind.values), name="comparable_asked_or_sold"
            ),
            models.CheckConstraint(
                condition=Q(frame__in=Frame.values), name="comparable_frame_is_known"
            ),
            models.CheckConstraint(
                condition=Q(maker_year__gte=EARLIEST_YEAR) & Q(maker_year__lte=2200),
                name="comparable_year_plausible",
            ),
            models.CheckConstraint(
                condition=Q(days_on_shelf__isnull=True) | Q(days_on_shelf__lte=LONGEST_SHELF_DAYS),
                name="comparable_days_on_shelf_plausible",
            ),
            models.CheckConstraint(condition=~Q(make_key=""), name="comparable_has_a_make"),
        )

    def __str__(self) -> str:
        """Return make, model and year."""
        return " ".join(filter(None, (self.make, self.model, str(self.maker_year))))

    def save(self, *args: object, **kwargs: object) -> None:
        """Keep the compared forms of make and model in step."""
        self.set_keys()
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    @property
    def is_own_sale(self) -> bool:
        """Tell whether the shop sold it itself."""
        return self.own_sale is not None

    def set_keys(self) -> None:
        """Write the compared forms of make and model; needed before a bulk insert."""
        self.make_key, self.model_key = likeness_key(self.make), likeness_key(self.model)

    @property
    def age_years(self) -> int:
        """Return the whole years from the maker's year to the day the price was seen."""
        return max(0, self.seen_on.year - self.maker_year)


class Dropped(models.Model):
    """A comparable that the manager left out for one bike, with the reason."""

    comparable = models.ForeignKey(Comparable, on_delete=models.CASCADE, related_name="dropped")
    bike = models.ForeignKey(Bike, on_delete=models.CASCADE, related_name="dropped_comparables")
    reason = models.CharField("reason", max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("at", "pk")
        verbose_name = "comparable dropped"
        constraints = (
            models.UniqueConstraint(
                fields=("comparable", "bike"), name="comparable_dropped_once_a_bike"
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="dropped_for_a_reason"),
        )

    def __str__(self) -> str:
        """Return the comparable and the reason."""
        return f"{self.comparable}: {self.reason}"
