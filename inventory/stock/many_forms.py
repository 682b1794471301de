"""What is asked where many parts are changed in one go."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict

from inventory.core.selling import Rounding
from inventory.formfields import FigureField
from inventory.parts.changing import PriceRule, Wish
from inventory.parts.models import Ending, VatCode

HUNDRED = Decimal(100)
LOWEST, HIGHEST = Decimal(-90), Decimal(9900)
MOST_MINIMUM = 999_999
IN_USE = (("", "as it is"), ("yes", "in use"), ("no", "out of use"))
PRICES = (
    (PriceRule.STAYS.value, "stays"),
    (PriceRule.OWN.value, "by each part’s own mark-up on its cost"),
    (PriceRule.MARKUP.value, "by one mark-up on the cost, in per cent"),
    (PriceRule.SHARE.value, "by per cent of the price it has now"),
)
EVERY, TICKED = "all", "ticked"


class ManyForm(forms.Form):
    """What becomes of the parts chosen; its names differ from those of the list's filter."""

    prefix = "to"

    price = forms.ChoiceField(label="Selling price", choices=PRICES, widget=forms.RadioSelect)
    percent = FigureField(
        label="Per cent",
        required=False,
        min_value=LOWEST,
        max_value=HIGHEST,
        decimal_places=2,
        help_text="Of the cost: 60 makes 16 of 10. Of the price now: 5 is dearer, -5 cheaper.",
    )
    ending = forms.ChoiceField(
        label="New prices end in, with VAT",
        choices=[("", "as each part’s own rule says"), *Ending.choices],
        required=False,
    )
    keep_rule = forms.BooleanField(
        label="Keep this mark-up and ending as the parts’ own", required=False
    )
    vat_code = forms.ChoiceField(
        label="VAT", choices=[("", "as it is"), *VatCode.choices], required=False
    )
    minimum = FigureField(
        label="At least in stock",
        required=False,
        min_value=0,
        max_value=MOST_MINIMUM,
        decimal_places=2,
    )
    place = forms.CharField(label="Shelf place", required=False, max_length=40)
    active = forms.ChoiceField(label="In use", choices=IN_USE, required=False)

    @classmethod
    def begun(cls, asked: QueryDict) -> ManyForm:
        """Return a form not yet sent, with what was chosen before."""
        told = {name: asked.get(f"{cls.prefix}-{name}", "") for name in cls.base_fields}
        return cls(initial=told | {"price": told["price"] or PriceRule.STAYS.value})

    def clean(self) -> dict[str, Any]:
        """See that something is to change, and that a price by per cent says by how many."""
        super().clean()
        data = self.cleaned_data
        rule = data.get("price", "")
        needs = rule in {PriceRule.MARKUP.value, PriceRule.SHARE.value}
        percent = data.get("percent")
        if needs and percent is None and "percent" not in self.errors:
            self.add_error("percent", "Write by how many per cent; 0 changes the ending alone.")
        if rule == PriceRule.MARKUP.value and percent is not None and percent < 0:
            self.add_error("percent", "A mark-up is not below zero.")
        if not self.errors and self.wish() == Wish():
            self.add_error(None, "Nothing is to change. Choose what is to become of the parts.")
        return data

    def wish(self) -> Wish:
        """Return what was asked for."""
        data = self.cleaned_data
        rule = PriceRule(data["price"])
        if rule is PriceRule.STAYS:
            price: dict[str, Any] = {}
        else:
            price = {
                "price": rule,
                "share": (data["percent"] or Decimal(0)) / HUNDRED,
                "ending": Rounding(data["ending"]) if data["ending"] else None,
                "keep_rule": data["keep_rule"],
            }
        return Wish(
            vat_code=data["vat_code"],
            minimum=data["minimum"],
            place=data["place"] or None,
            active={"yes": True, "no": False}.get(data["active"]),
            **price,
        )
