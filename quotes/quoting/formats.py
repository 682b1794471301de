"""Amounts and quantities as the pages of this room write them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from inventory.core.money import format_money
from workshop.shop.models import Shop

MOST = Decimal(100_000)
NOT_A_NUMBER = "This is not a number. Write it in figures, such as 25 or 1.5."


class QuantityField(forms.DecimalField):
    """A quantity: takes “1,5” as well as “1.5”; never negative, at most two decimals."""

    widget = forms.TextInput

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_digits", 9)
        kwargs.setdefault("decimal_places", 2)
        kwargs.setdefault("min_value", Decimal(0))
        kwargs.setdefault("max_value", MOST)
        super().__init__(**kwargs)
        self.error_messages["invalid"] = NOT_A_NUMBER

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """Ask a phone for its figures."""
        return {**super().widget_attrs(widget), "inputmode": "decimal", "autocomplete": "off"}

    def prepare_value(self, value: object) -> object:
        """Show a quantity without needless zeros."""
        return f"{value.normalize():f}" if isinstance(value, Decimal) else value

    def to_python(self, value: object) -> Decimal | None:  # type: ignore[override] # the stubs say int
        """Return the quantity; raises ValidationError with how to write it."""
        if isinstance(value, str):
            text = value.strip()
            value = text.replace(",", ".", 1) if text.count(",") == 1 and "." not in text else text
        return super().to_python(value)


def quantity_text(quantity: Decimal) -> str:
    """Return a quantity without needless zeros."""
    return f"{quantity.normalize():f}"


def signed_money(amount: Decimal, shop: Shop) -> str:
    """Return a difference in money with its sign: “+£12.00”, “−£3.50”, “no difference”."""
    if not amount:
        return "no difference"
    sign = "+" if amount > 0 else "−\u2060"  # the joiner keeps sign and figure on one line
    return sign + format_money(abs(amount), shop.currency, shop.locale)
