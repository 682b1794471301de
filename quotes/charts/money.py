"""Money in charts and beside them: whole amounts at the ticks, exact ones in the table."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from babel import Locale
from babel.numbers import parse_pattern

from inventory.core.money import format_money, quantise
from quotes.charts.chart import Axis, Figure


def whole_money(amount: Decimal, currency: str, locale: str) -> str:
    """Return an amount rounded half-up to whole units: a price foretold is no surer than that."""
    pattern = parse_pattern(Locale.parse(locale).currency_formats["standard"].pattern)
    pattern.frac_prec = (0, 0)
    whole = amount.quantize(Decimal(1), rounding=ROUND_HALF_UP)
    return str(pattern.apply(whole, locale, currency=currency, currency_digits=False))


def money_axis(label: str, currency: str, locale: str) -> Axis:
    """Return an axis whose figures are amounts of a currency (ISO 4217)."""

    def exact(value: Figure) -> str:
        return format_money(quantise(Decimal(value), currency), currency, locale)

    def at_tick(value: Figure) -> str:
        amount = Decimal(value)
        whole = amount == amount.to_integral_value()
        return whole_money(amount, currency, locale) if whole else exact(value)

    return Axis(label, exact, at_tick)
