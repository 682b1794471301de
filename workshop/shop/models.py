"""The shop: head of the paper, currency, VAT, buying policy; and dated VAT rates."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from babel.numbers import get_currency_symbol
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inventory.fields import SHARE_LIMITS, MoneyField
from inventory.parts.models import VatCode

SHARE: dict[str, Any] = {"max_digits": 6, "decimal_places": 4}
LONGEST_LEAD_DAYS = 365
CONFIDENCE_LIMITS = [MinValueValidator(Decimal("0.5")), MaxValueValidator(Decimal("0.99"))]


class VatScheme(models.TextChoices):
    """How VAT falls on the resale of a bike."""

    MARGIN = "margin", "margin scheme"
    ORDINARY = "ordinary", "ordinary VAT"
    NONE = "none", "not registered for VAT"


class Shop(models.Model):
    """The one shop this installation serves. Shares are fractions: 0.05 is 5 %.

    ``confidence`` is the share of outcomes that must reach the target at the ceiling price. What
    a bike brings with only the must-dos done or for its parts is a share of its resale price:
    common practice, no source. ``waiting_day_net`` is what a working day's waiting for a part is
    worth to the shop, net, where repairs are chosen; 0 leaves waiting out of it.
    ``usual_lead_days`` are the working days for a part of which no supplier's lead time is known.
    """

    name = models.CharField("name", max_length=120)
    address = models.TextField("address", max_length=400)
    phone = models.CharField("phone", max_length=40, blank=True)
    email = models.EmailField("e-mail", blank=True)
    web = models.CharField("web address", max_length=120, blank=True)
    country = models.CharField("country", max_length=2, default="GB", help_text="ISO 3166 code.")
    currency = models.CharField("currency", max_length=3, default="GBP", help_text="ISO 4217 code.")
    locale = models.CharField("language and number style", max_length=12, default="en_GB")
    vat_registered = models.BooleanField("registered for VAT", default=True)
    vat_number = models.CharField("VAT number", max_length=20, blank=True)
    tax_number = models.CharField("tax number", max_length=30, blank=True)
    resale_scheme = models.CharField(
        "VAT on resale", max_length=10, choices=VatScheme.choices, default=VatScheme.MARGIN
    )
    quote_valid_days = models.PositiveSmallIntegerField("a quote stands for (days)", default=30)
    terms = models.TextField(
        "what is not included", max_length=1500, blank=True, help_text="One point a line."
    )
    sundries_share = models.DecimalField(
        "sundries, share of labour", default=Decimal("0.03"), validators=SHARE_LIMITS, **SHARE
    )
    sundries_min_net = MoneyField("sundries at least, net", default=Decimal(0))
    sundries_max_net = MoneyField("sundries at most, net", default=Decimal(15))
    target_margin_net = MoneyField(
        "target profit per bike", default=Decimal(80), help_text="After VAT, costs and reserve."
    )
    selling_fee_share = models.DecimalField(
        "selling fees, share of price", default=Decimal(0), validators=SHARE_LIMITS, **SHARE
    )
    selling_fee_net = MoneyField("selling fees, fixed, net", default=Decimal(0))
    warranty_share = models.DecimalField(
        "warranty reserve, share of price", default=Decimal(0), validators=SHARE_LIMITS, **SHARE
    )
    confidence = models.DecimalField(
        "how sure a buy-in must be", default=Decimal("0.8"), validators=CONFIDENCE_LIMITS, **SHARE
    )
    opening_share = models.DecimalField(
        "opening offer, share of ceiling", default=Decimal("0.8"), validators=SHARE_LIMITS, **SHARE
    )
    opening_step = MoneyField("opening offer rounded down to", default=Decimal(5))
    must_do_resale_share = models.DecimalField(
        "resale with only the must-dos, share of price",
        default=Decimal("0.85"),
        validators=SHARE_LIMITS,
        **SHARE,
    )
    parts_resale_share = models.DecimalField(
        "value for parts, share of price",
        default=Decimal("0.35"),
        validators=SHARE_LIMITS,
        **SHARE,
    )
    strip_minutes = models.PositiveSmallIntegerField("stripping for parts (minutes)", default=90)
    waiting_day_net = MoneyField(
        "a working day’s waiting for a part is worth, net",
        default=Decimal("1.00"),  # common practice, no source
    )
    usual_lead_days = models.PositiveSmallIntegerField(
        "usual lead time (working days)",
        default=5,  # common practice, no source
        validators=[MaxValueValidator(LONGEST_LEAD_DAYS)],
    )
    mechanics_see_costs = models.BooleanField("mechanics may see costs and margins", default=False)
    history = HistoricalRecords()

    class Meta:
        """One row only, and the limits that the database holds."""

        constraints = (
            models.CheckConstraint(condition=Q(pk=1), name="one_shop_only"),
            models.CheckConstraint(
                condition=Q(waiting_day_net__gte=0) & Q(usual_lead_days__lte=LONGEST_LEAD_DAYS),
                name="shop_waiting_plausible",
            ),
        )

    def __str__(self) -> str:
        """Return the shop's name."""
        return self.name

    @property
    def currency_sign(self) -> str:
        """Return the sign of the currency as the shop's language writes it."""
        return get_currency_symbol(self.currency, self.locale)


class VatRate(models.Model):
    """A VAT rate of the shop's country, valid from a date until the next one.

    ``rate`` is a fraction: 0.2 is 20 %.
    """

    code = models.CharField("kind", max_length=10, choices=VatCode.choices)
    rate = models.DecimalField("rate", validators=SHARE_LIMITS, **SHARE)
    valid_from = models.DateField("valid from")
    source = models.CharField("source", max_length=200, blank=True)
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("code", "-valid_from")
        constraints = (
            models.UniqueConstraint(fields=("code", "valid_from"), name="one_vat_rate_a_day"),
            models.CheckConstraint(
                condition=Q(rate__gte=0) & Q(rate__lte=1), name="vat_rate_is_a_fraction"
            ),
        )

    def __str__(self) -> str:
        """Return the kind with its rate and date."""
        return f"{self.get_code_display()} {self.rate:.1%} from {self.valid_from}"
