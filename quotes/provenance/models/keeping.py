"""How much of a document is noted, how long personal data are kept, and what was deleted."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from workshop.customers.models import Customer

LONGEST_MONTHS = 600


class NumberKept(models.TextChoices):
    """How much of a document's number is kept."""

    NONE = "none", "nothing"
    END = "end", "the last four characters"
    FULL = "full", "all of it, since the law asks for it"


class IdentityKeeping(models.Model):
    """How much of the number of a seller's document the shop keeps."""

    number = models.CharField(
        "of a document's number we keep",
        max_length=4,
        choices=NumberKept.choices,
        default=NumberKept.END,
    )
    law = models.CharField("the law that asks for all of it", max_length=200, blank=True)
    history = HistoricalRecords()

    class Meta:
        """One row only; all of a number needs a law."""

        constraints = (
            models.CheckConstraint(condition=Q(pk=1), name="one_identity_keeping_only"),
            models.CheckConstraint(
                condition=~Q(number="full") | ~Q(law=""),
                name="full_number_needs_a_law",
                violation_error_message="Name the law that asks for the whole number.",
            ),
        )

    def __str__(self) -> str:
        """Return how much is kept."""
        return self.get_number_display()


class RetentionKind(models.TextChoices):
    """Personal data that are kept for a time."""

    NOT_BOUGHT = "not_bought", "who offered a bike that was not bought"
    BOUGHT = "bought", "who sold us a bike"
    IDLE = "idle", "customers without a bike or a quote"
    DEALT = "dealt", "customers after their last bike or quote"
    BOOK_SELLER = "book_seller", "sellers in the stock book, after their bike was sold on"
    BOOK_BUYER = "book_buyer", "buyers in the stock book"


class RetentionRule(models.Model):
    """How many months data of one kind are kept, and by what law or custom."""

    kind = models.CharField(
        "personal data", max_length=12, choices=RetentionKind.choices, unique=True
    )
    months = models.PositiveSmallIntegerField(
        "kept for, months",
        validators=[MinValueValidator(1), MaxValueValidator(LONGEST_MONTHS)],
    )
    source = models.CharField("source", max_length=300, blank=True)
    history = HistoricalRecords()

    class Meta:
        """Order by kind."""

        ordering = ("kind",)
        verbose_name = "retention rule"
        constraints = (
            models.CheckConstraint(condition=Q(months__gte=1), name="retention_at_least_a_month"),
        )

    def __str__(self) -> str:
        """Return what is kept and how long."""
        return f"{self.get_kind_display()}: {self.months} months"


class RetentionRun(models.Model):
    """What ``manage.py retention --apply`` did: counts only."""

    at = models.DateTimeField("at", auto_now_add=True)
    identities_deleted = models.PositiveIntegerField("identities deleted", default=0)
    customers_deleted = models.PositiveIntegerField("customers deleted", default=0)
    customers_anonymised = models.PositiveIntegerField("customers anonymised", default=0)
    names_deleted = models.PositiveIntegerField("names in the stock book deleted", default=0)
    history_scrubbed = models.PositiveIntegerField("rows of history scrubbed", default=0)
    kept = models.PositiveIntegerField("kept though due", default=0)

    class Meta:
        """Newest first."""

        ordering = ("-pk",)

    def __str__(self) -> str:
        """Return when it ran."""
        return f"retention of {self.at:%Y-%m-%d}"


class AnonymisedCustomer(models.Model):
    """Marks a customer whose name and address were taken away, and when."""

    customer = models.OneToOneField(
        Customer, on_delete=models.CASCADE, related_name="anonymised_by"
    )
    run = models.ForeignKey(RetentionRun, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        """Return the customer's number."""
        return f"customer {self.customer_id}"
