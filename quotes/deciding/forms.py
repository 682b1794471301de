"""The form of the decision: the price asked, and under it what the answer rests on."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from inventory.core.money import quantise
from inventory.formfields import PercentField, PriceField
from quotes.buyin.forms import MarginForm, first_figures
from quotes.deciding.basis import Ground
from quotes.deciding.figures import Given
from workshop.shop.models import CONFIDENCE_LIMITS

SPREAD = Decimal("0.15")  # common practice, no source
"""Where no low and high are entered they lie so far from the likely price."""


class WeighForm(MarginForm):
    """What a decision is made of; resale prices as a range, the work from the quote."""

    refurbishment_cost = None  # type: ignore[assignment] # how Django drops an inherited field
    resale_low = PriceField(
        label="At the low end", required=False, help_text="One in ten such bikes sells for less."
    )
    resale_high = PriceField(
        label="At the high end", required=False, help_text="One in ten sells for more."
    )
    parts_value = PriceField(
        label="What its parts would bring", required=False, help_text="All of them, VAT included."
    )
    guess = PriceField(
        label="The work, guessed", help_text="At the shop’s own cost, VAT not included."
    )
    confidence = PercentField(label="How sure you want to be", validators=CONFIDENCE_LIMITS)

    def __init__(self, *args: Any, ground: Ground, **kwargs: Any) -> None:
        """Ask for a guess of the work only where it is not known."""
        super().__init__(*args, shop=ground.shop, **kwargs)
        if ground.work is not None:
            del self.fields["guess"]

    def clean(self) -> dict[str, Any]:
        """Fill in what was left open; see that prices go up."""
        super().clean()
        data = self.cleaned_data
        likely = data.get("resale_price")
        if likely is None:
            return data
        self._fill("resale_low", likely * (1 - SPREAD))
        self._fill("resale_high", likely * (1 + SPREAD))
        self._fill("parts_value", likely * self.shop.parts_resale_share)
        low, high = data.get("resale_low"), data.get("resale_high")
        if low is not None and low > likely:
            self.add_error("resale_low", "This is above the expected price. Lower it.")
        if high is not None and high < likely:
            self.add_error("resale_high", "This is below the expected price. Raise it.")
        return data

    def _fill(self, name: str, amount: Decimal) -> None:
        if name in self.cleaned_data and self.cleaned_data[name] is None:
            self.cleaned_data[name] = quantise(amount, self.shop.currency)

    def asked(self) -> Given:
        """Return the figures of a valid form."""
        data = self.cleaned_data
        return Given(
            price=data["purchase_price"],
            resale_low=data["resale_low"],
            resale=data["resale_price"],
            resale_high=data["resale_high"],
            target=data["target_profit"],
            confidence=data["confidence"],
            scheme=data["scheme"],
            vat_rate=data["vat_rate"],
            selling_fee_share=data["selling_fee_share"],
            selling_fee_net=data["selling_fee_net"],
            warranty_share=data["warranty_share"],
            parts_value=data["parts_value"],
            guess=data.get("guess"),
            currency=self.shop.currency,
        )


def opening_figures(ground: Ground) -> dict[str, Any]:
    """Return what the form starts with: comparables, the quote, the shop's policy."""
    figures = first_figures(ground.basis)
    found = ground.resale.resale
    if found.likely is not None:
        prices = {"resale_price": found.likely, "resale_low": found.low, "resale_high": found.high}
        figures |= {
            name: None if price is None else quantise(price, ground.shop.currency)
            for name, price in prices.items()
        }
    figures.pop("refurbishment_cost")
    return figures | {"confidence": ground.shop.confidence}
