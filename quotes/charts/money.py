"""An axis of money: whole amounts at the ticks, exact ones in the table."""

from __future__ import annotations

from decimal import Decimal

from babel import Locale
from babel.numbers import parse_pattern

from inventory.core.money import format_money, quantise
from quotes.charts.chart import Axis, Figure


def money_axis(label: str, currency: str, locale: str) -> Axis:
    """Return an axis whose figures are amounts of a currency (ISO 4217)."""
    standard = Locale.parse(locale).currency_formats["standard"].pattern

    def exact(value: Figure) -> str:
        return format_money(quantise(Decimal(value), currency), currency, locale)

    def whole(value: Figure) -> str:
        amount = Decimal(value)
        pattern = parse_pattern(standard)
        pattern.frac_prec = (0, 0) if amount == amount.to_integral_value() else (2, 2)
        return str(pattern.apply(amount, locale, currency=currency, currency_digits=False))

    return Axis(label, exact, whole)
