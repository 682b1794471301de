"""The margin check as it was saved, the decision it led to, and the rules for leaving a bike."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inventory.fields import SHARE_LIMITS, MoneyField
from quotes.quoting.models import Revision
from workshop.bikes.models import Bike
from workshop.inspections.models import Fault
from workshop.inspections.models.asked import JUDGEMENTS
from workshop.shop.models import SHARE, VatScheme


class LeaveRule(models.Model):
    """A reason to leave a bike whatever each job costs: many small faults, a worn-out chain.

    It holds where at least ``at_least`` findings are at least as bad as ``from_judgement``; with
    ``faults`` only those are counted.
    """

    code = models.SlugField("code", max_length=60, unique=True)
    words = models.CharField("in words", max_length=200)
    from_judgement = models.CharField("from judgement", max_length=12, choices=JUDGEMENTS)
    at_least = models.PositiveSmallIntegerField("findings at least", default=1)
    faults = models.ManyToManyField(Fault, blank=True, related_name="+")
    active = models.BooleanField("in use", default=True)
    history = HistoricalRecords()

    class Meta:
        """Order by code."""

        ordering = ("code",)
        constraints = (
            models.CheckConstraint(condition=Q(at_least__gte=1), name="leave_rule_counts_some"),
        )

    def __str__(self) -> str:
        """Return the words."""
        return self.words


class Decision(models.TextChoices):
    """What was decided."""

    OPEN = "open", "not decided"
    BUY = "buy", "buy"
    LEAVE = "leave", "leave it"


class MarginCheck(models.Model):
    """A margin check kept: what went in, what came out, and what was decided on it.

    Resale and purchase price are gross, as the buyer pays and the seller gets; refurbishment,
    fees and reserve are costs to the shop, net of recoverable VAT.
    """

    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="margin_checks")
    revision = models.ForeignKey(
        Revision, on_delete=models.PROTECT, null=True, blank=True, related_name="margin_checks"
    )
    resale_price = MoneyField("expected resale price")
    purchase_price = MoneyField("purchase price asked")
    refurbishment_cost = MoneyField("refurbishment at the shop's cost, net")
    selling_fee_share = models.DecimalField(
        "selling fees, share of price", validators=SHARE_LIMITS, **SHARE
    )
    selling_fee_net = MoneyField("selling fees, fixed, net")
    warranty_share = models.DecimalField(
        "warranty reserve, share of price", validators=SHARE_LIMITS, **SHARE
    )
    scheme = models.CharField("VAT on resale", max_length=10, choices=VatScheme.choices)
    vat_rate = models.DecimalField("VAT rate", **SHARE)
    target_profit = MoneyField("target profit")
    vat = MoneyField("VAT on the sale", signed=True)
    profit = MoneyField("profit", signed=True)
    ceiling_price = MoneyField("ceiling price", null=True, blank=True)
    verdict = models.CharField("verdict", max_length=12)
    reasons = models.JSONField("reasons", default=list)
    decision = models.CharField(
        "decision", max_length=8, choices=Decision.choices, default=Decision.OPEN
    )
    decision_note = models.CharField("note on the decision", max_length=300, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    history = HistoricalRecords()

    class Meta:
        """Newest first."""

        ordering = ("-at", "-pk")

    def __str__(self) -> str:
        """Return the bike with the verdict."""
        return f"{self.bike}: {self.verdict}"
