"""Form fields for money and shares, which take figures as people write them."""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from babel.numbers import get_currency_precision, get_currency_symbol, is_currency
from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator

NUMBER = re.compile(
    r"(?P<whole>[1-9]\d{0,2}(?P<group>[ \u00a0\u2009\u202f'’.,])\d{3}(?:(?P=group)\d{3})*|\d+)"
    r"(?:(?P<point>[.,])(?P<rest>\d+))?"
)
AMBIGUOUS = re.compile(r"[1-9]\d{0,2}[.,]\d{3}")
FINE = 4
"""Decimals of a fine price, as the database keeps them."""
LARGEST = Decimal(9_999_999)
FIRST_DAY, LAST_DAY = dt.date(1970, 1, 1), dt.date(2199, 12, 31)
SENSIBLE_DAY = (
    MinValueValidator(FIRST_DAY, f"Write a day from {FIRST_DAY.year} on."),
    MaxValueValidator(LAST_DAY, f"Write a day up to the year {LAST_DAY.year}."),
)
"""Validators of a day: days and years can be added to it without leaving the calendar."""
PERCENT = Decimal(100)
PENCE = 2
"""Decimals of most currencies; with more of them a point before three figures is no riddle."""


class PriceField(forms.DecimalField):
    """An amount of money: takes ``12,50``, ``£12.50``, ``1 250.00``; refuses what can be misread.

    ``currency`` (ISO 4217) says how many decimals an amount has and which sign may stand with
    it; ``use_currency`` sets it for a whole form. ``fine`` allows four decimals, for prices of
    small things. ``signed`` allows amounts below zero.
    """

    widget = forms.TextInput

    def __init__(
        self,
        *,
        currency: str = "",
        locale: str = "en_GB",
        fine: bool = False,
        signed: bool = False,
        **kwargs: Any,
    ) -> None:
        self.currency, self.locale, self.fine, self.signed = currency, locale, fine, signed
        kwargs.pop("decimal_places", None)
        kwargs.pop("max_digits", None)
        super().__init__(**kwargs)

    @property
    def decimals(self) -> int:
        """Return how many decimals an amount may have."""
        if self.fine:
            return FINE
        return get_currency_precision(self.currency) if self.currency else 2

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """Ask a phone for its figures."""
        return {**super().widget_attrs(widget), "inputmode": "decimal", "autocomplete": "off"}

    def prepare_value(self, value: object) -> object:
        """Show an amount with the currency's decimals, more only where it has them."""
        if not isinstance(value, Decimal):
            return value
        digits = get_currency_precision(self.currency) if self.currency else 2
        shown = value.normalize()
        exponent = shown.as_tuple().exponent
        return f"{shown:.{max(digits, -exponent if isinstance(exponent, int) else 0)}f}"

    def to_python(self, value: object) -> Decimal | None:  # type: ignore[override] # the stubs say int
        """Return the amount.

        Raises:
            ValidationError: with what is wrong and how to write it.
        """
        if value in self.empty_values:
            return None
        if isinstance(value, Decimal):
            return value
        text = " ".join(str(value).split())
        return self.checked(self.amount_in(self.without_currency(text), text), text)

    def without_currency(self, text: str) -> str:
        """Return the text without the sign or code of the currency, which must be ours."""
        ours = {"", self.currency.casefold()}
        if self.currency:
            ours.add(get_currency_symbol(self.currency, self.locale).casefold())
        for mark in currency_marks(text):
            if self.currency and mark.casefold() not in ours:
                raise ValidationError(
                    f"“{text}” names another currency. Prices here are in {self.currency}."
                )
            text = text.replace(mark, "", 1)
        return text.strip()

    def amount_in(self, figures: str, text: str) -> Decimal:
        """Return the number that the figures write."""
        sign, bare = (-1, figures[1:]) if figures[:1] in {"-", "−"} else (1, figures)
        bare = bare.strip()
        if AMBIGUOUS.fullmatch(bare) and self.decimals:
            if self.decimals > PENCE and "." in bare:
                return sign * Decimal(bare)
            whole, rest = re.split("[.,]", bare)
            raise ValidationError(
                f"“{text}” can be read as {whole}{rest} or as {whole}.{rest.rstrip('0') or '0'}. "
                "Write it without a thousands mark."
            )
        found = NUMBER.fullmatch(bare)
        if found is None or found["group"] == found["point"] is not None:
            raise ValidationError(
                f"“{text}” is not a price. Write the amount in figures, such as 12.50 or 1250."
            )
        whole = "".join(each for each in found["whole"] if each.isdecimal())
        return sign * Decimal(f"{whole}.{found['rest'] or 0}")

    def checked(self, amount: Decimal, text: str) -> Decimal:
        """Return the amount where it is within bounds."""
        if amount < 0 and not self.signed:
            raise ValidationError(f"“{text}” is below zero. Write an amount of 0 or more.")
        if abs(amount) > LARGEST:
            raise ValidationError(f"“{text}” is more than {LARGEST:,}. Check the figures.")
        if amount != round(amount, self.decimals):
            raise ValidationError(
                f"“{text}” has more than {self.decimals} decimals. Round it to {self.decimals}."
            )
        return amount


class PercentField(forms.DecimalField):
    """A share, kept as a fraction and shown as per cent: ``5`` on screen is 0.05.

    Takes ``5``, ``5 %``, ``2,5``; from 0 to 100 with at most two decimals.
    """

    widget = forms.TextInput

    def __init__(self, **kwargs: Any) -> None:
        kwargs.pop("decimal_places", None)
        kwargs.pop("max_digits", None)
        super().__init__(**kwargs)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """Ask a phone for its figures."""
        return {**super().widget_attrs(widget), "inputmode": "decimal", "autocomplete": "off"}

    def prepare_value(self, value: object) -> object:
        """Show the fraction as per cent, without needless zeros."""
        return f"{(value * PERCENT).normalize():f}" if isinstance(value, Decimal) else value

    def to_python(self, value: object) -> Decimal | None:  # type: ignore[override] # the stubs say int
        """Return the fraction.

        Raises:
            ValidationError: with what is wrong and how to write it.
        """
        if value in self.empty_values:
            return None
        if isinstance(value, Decimal):
            return value
        text = str(value).strip()
        found = re.fullmatch(r"(\d+)(?:[.,](\d{1,2}))?\s*%?", text)
        share = Decimal(f"{found[1]}.{found[2] or 0}") / PERCENT if found else None
        if share is None or share > 1:
            raise ValidationError(
                f"“{text}” is not a share. Write per cent from 0 to 100, such as 5 or 2.5."
            )
        return share


def currency_marks(text: str) -> Iterable[str]:
    """Return the currency signs and three-letter codes that stand in a text."""
    signs = [each for each in text if unicodedata.category(each) == "Sc"]
    words = re.findall(r"(?<![^\W\d_])[A-Za-z]{3}(?![^\W\d_])", text)
    return signs + [each for each in words if is_currency(each.upper())]


def use_currency(form: forms.BaseForm, currency: str, locale: str) -> None:
    """Tell every price field of a form which currency its amounts are in."""
    for field in form.fields.values():
        if isinstance(field, PriceField):
            field.currency, field.locale = currency, locale


class FigureField(forms.DecimalField):
    """A number that is no money, such as minutes or millimetres; takes a comma for the point."""

    widget = forms.TextInput

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """Ask a phone for its figures."""
        return {**super().widget_attrs(widget), "inputmode": "decimal", "autocomplete": "off"}

    def prepare_value(self, value: object) -> object:
        """Show the number without needless zeros."""
        return f"{value.normalize():f}" if isinstance(value, Decimal) else value

    def to_python(self, value: object) -> Decimal | None:  # type: ignore[override] # the stubs say int
        """Return the number.

        Raises:
            ValidationError: it is none.
        """
        if value in self.empty_values:
            return None
        if isinstance(value, Decimal):
            return value
        text = str(value).strip()
        if not re.fullmatch(r"[-−]?\d+([.,]\d+)?", text):
            raise ValidationError(f"“{text}” is not a number. Write figures, such as 12 or 12.5.")
        return Decimal(text.replace(",", ".").replace("−", "-"))
