"""The forms of the margin check and of the decision."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from inventory.core.money import quantise
from inventory.formfields import PercentField, PriceField, use_currency
from quotes.buyin.basis import Basis
from quotes.buyin.models import Decision
from quotes.core.margin import MarginInput, Scheme
from workshop.shop.models import Shop, VatScheme

LONGEST_NOTE = 300
NOT_REGISTERED = "The shop is not registered for VAT. Choose “not registered for VAT”."
REGISTERED = "The shop is registered for VAT. Choose the margin scheme or ordinary VAT."


class MarginForm(forms.Form):
    """What goes into a margin check; shares are per cent on screen and fractions inside."""

    resale_price = PriceField(
        label="Expected resale price", help_text="What a buyer will pay, VAT included."
    )
    purchase_price = PriceField(label="Price asked", help_text="What the seller would get.")
    refurbishment_cost = PriceField(label="The work, at the shop’s own cost")
    scheme = forms.ChoiceField(label="VAT on the resale", choices=VatScheme.choices)
    vat_rate = PercentField(label="VAT rate")
    selling_fee_share = PercentField(label="Selling fees, share of price")
    selling_fee_net = PriceField(label="Selling fees, fixed")
    warranty_share = PercentField(label="Warranty reserve, share of price")
    target_profit = PriceField(label="Target profit")

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        """Take the shop, for its currency and its VAT."""
        super().__init__(*args, **kwargs)
        self.shop = shop
        use_currency(self, shop.currency, shop.locale)

    def clean_scheme(self) -> str:
        """See that the scheme goes with the shop's registration."""
        scheme: str = self.cleaned_data["scheme"]
        if not self.shop.vat_registered and scheme != VatScheme.NONE:
            raise forms.ValidationError(NOT_REGISTERED)
        if self.shop.vat_registered and scheme == VatScheme.NONE:
            raise forms.ValidationError(REGISTERED)
        return scheme

    def given(self) -> MarginInput:
        """Return the figures of a valid form."""
        figures = {name: value for name, value in self.cleaned_data.items() if name != "scheme"}
        return MarginInput(
            **figures, scheme=Scheme(self.cleaned_data["scheme"]), currency=self.shop.currency
        )


def first_figures(basis: Basis, resale: Decimal | None = None) -> dict[str, Any]:
    """Return what the form starts with: what is known of the bike, and the shop's policy.

    ``resale`` is the price, gross, to expect where no check was saved before.
    """
    shop = basis.shop
    registered = shop.vat_registered
    return {
        "resale_price": _amount(basis.last.resale_price if basis.last else resale, shop),
        "purchase_price": _amount(basis.bike.asking_price, shop),
        "refurbishment_cost": _amount(basis.cost.total if basis.cost else None, shop),
        "scheme": shop.resale_scheme if registered else VatScheme.NONE,
        "vat_rate": basis.vat_rate if registered else Decimal(0),
        "selling_fee_share": shop.selling_fee_share,
        "selling_fee_net": _amount(shop.selling_fee_net, shop),
        "warranty_share": shop.warranty_share,
        "target_profit": _amount(shop.target_margin_net, shop),
    }


def _amount(amount: Decimal | None, shop: Shop) -> Decimal | None:
    """Return an amount in whole minor units."""
    return None if amount is None else quantise(amount, shop.currency)


class DecisionForm(forms.Form):
    """Buy or leave, with a note."""

    decision = forms.ChoiceField(
        label="What was decided",
        choices=[(Decision.BUY, "buy it"), (Decision.LEAVE, "leave it")],
        widget=forms.RadioSelect,
    )
    note = forms.CharField(
        label="Note",
        max_length=LONGEST_NOTE,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Needed where the decision goes against the verdict.",
    )
