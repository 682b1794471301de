"""The pool of cheap second-hand goods: what went in and out, and what was declared."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inventory.fields import MoneyField
from workshop.bikes.models import Bike
from workshop.shop.models import SHARE


class Carry(models.TextChoices):
    """How far an excess of purchases over sales is carried."""

    ALWAYS = "always", "into the next period, without end"
    WITHIN_YEAR = "year", "only within the calendar year"


class PoolRule(models.Model):
    """What the law of the shop's country says of the pool from a day on.

    ``item_limit`` is the most that one article in the pool may have cost. ``waived_up_to`` is the
    VAT in the stock up to which leaving asks for no adjustment; without it, none is waived.
    """

    valid_from = models.DateField("valid from", unique=True)
    item_limit = MoneyField("an article cost at most")
    carry = models.CharField(
        "an excess is carried", max_length=8, choices=Carry.choices, default=Carry.ALWAYS
    )
    waived_up_to = MoneyField("VAT on leaving waived up to", null=True, blank=True)
    source = models.CharField("source", max_length=300, blank=True)
    history = HistoricalRecords()

    class Meta:
        """Newest first."""

        ordering = ("-valid_from",)
        verbose_name = "rule of the pool"
        verbose_name_plural = "rules of the pool"

    def __str__(self) -> str:
        """Return the day from which it holds."""
        return f"rules of the pool from {self.valid_from}"


class MarginLegend(models.Model):
    """The words that an invoice under the margin scheme must carry, from a day on."""

    valid_from = models.DateField("valid from", unique=True)
    words = models.CharField("words on the invoice", max_length=300)
    source = models.CharField("source", max_length=300, blank=True)
    history = HistoricalRecords()

    class Meta:
        """Newest first."""

        ordering = ("-valid_from",)
        verbose_name = "wording of margin-scheme invoices"
        verbose_name_plural = "wordings of margin-scheme invoices"

    def __str__(self) -> str:
        """Return the words."""
        return self.words


class PeriodLength(models.IntegerChoices):
    """How long a tax period is."""

    MONTH = 1, "a month"
    TWO_MONTHS = 2, "two months"
    QUARTER = 3, "three months"
    YEAR = 12, "a year"


class Month(models.IntegerChoices):
    """Months by their number."""

    JANUARY = 1, "January"
    FEBRUARY = 2, "February"
    MARCH = 3, "March"
    APRIL = 4, "April"
    MAY = 5, "May"
    JUNE = 6, "June"
    JULY = 7, "July"
    AUGUST = 8, "August"
    SEPTEMBER = 9, "September"
    OCTOBER = 10, "October"
    NOVEMBER = 11, "November"
    DECEMBER = 12, "December"


class Pool(models.Model):
    """Since when the shop pools, and how its tax periods run."""

    joined_on = models.DateField("pooled since")
    months = models.PositiveSmallIntegerField(
        "a tax period is", choices=PeriodLength.choices, default=PeriodLength.QUARTER
    )
    begins_in = models.PositiveSmallIntegerField(
        "one of them begins in",
        choices=Month.choices,
        default=Month.JANUARY,
        validators=[MinValueValidator(1), MaxValueValidator(12)],
    )
    history = HistoricalRecords()

    class Meta:
        """One row only."""

        constraints = (
            models.CheckConstraint(condition=Q(pk=1), name="one_pool_only"),
            models.CheckConstraint(condition=Q(months__in=(1, 2, 3, 12)), name="pool_period_known"),
            models.CheckConstraint(
                condition=Q(begins_in__gte=1) & Q(begins_in__lte=12), name="pool_month_known"
            ),
        )

    def __str__(self) -> str:
        """Return since when there is one."""
        return f"pool since {self.joined_on}"


class KeptError(Exception):
    """Raised when an entry or a declared period would be changed or deleted."""

    def __init__(self, record: models.Model) -> None:
        super().__init__(f"“{record}” stays as it is. Take an entry back with another one.")


class Kept(models.Model):
    """A row that is written once; the database refuses to change it by triggers."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save once; raises KeptError where it is saved already."""
        if not self._state.adding:
            raise KeptError(self)
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse. Raises KeptError."""
        raise KeptError(self)


class EntryKind(models.TextChoices):
    """What an entry says happened."""

    PURCHASE = "purchase", "bought"
    SALE = "sale", "sold"
    REDUCED = "reduced", "price reduced after the sale"
    LEAVING = "leaving", "left the pool unsold"
    OPENING = "opening", "in stock on joining"
    CLOSING = "closing", "in stock on leaving"


class PoolEntry(Kept):
    """Something that came into the pool or went out of it, at its price as paid, gross.

    Goods that leave, and stock, stand at their purchase price. A price reduced after the sale
    stands with what was paid back, and lowers the sales of its period. An entry is never changed:
    it is taken back by another one that ``reverses`` it, with the same amount below zero.
    """

    date = models.DateField("date")
    kind = models.CharField("what happened", max_length=10, choices=EntryKind.choices)
    bike = models.ForeignKey(
        Bike, on_delete=models.PROTECT, null=True, blank=True, related_name="pool_entries"
    )
    amount = MoneyField("price, gross", signed=True)
    description = models.CharField("what it is", max_length=200)
    reverses = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversal"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """Newest first, and the limits that the database holds."""

        ordering = ("-date", "-pk")
        verbose_name = "entry of the pool"
        verbose_name_plural = "entries of the pool"
        constraints = (
            models.CheckConstraint(
                condition=Q(reverses__isnull=True, amount__gte=0)
                | Q(reverses__isnull=False, amount__lte=0),
                name="pool_amount_below_zero_takes_back",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=EntryKind.values), name="pool_entry_kind_known"
            ),
        )

    def __str__(self) -> str:
        """Return what happened to what."""
        return f"{self.get_kind_display()}: {self.description}"


class PoolReturn(Kept):
    """A period as it was declared: its figures then, who declared it and when."""

    starts_on = models.DateField(unique=True)
    ends_on = models.DateField(unique=True)
    rate = models.DecimalField("VAT rate", **SHARE)
    sales = MoneyField("sales", signed=True)
    purchases = MoneyField("purchases", signed=True)
    margin = MoneyField("margin")
    vat = MoneyField("VAT")
    carried = MoneyField("carried")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """Newest first."""

        ordering = ("-starts_on",)
        verbose_name = "declared period"
        verbose_name_plural = "declared periods"

    def __str__(self) -> str:
        """Return the period."""
        return f"{self.starts_on} to {self.ends_on}"
