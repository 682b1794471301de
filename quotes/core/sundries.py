"""Sundries: grease, cable ends, cleaning … as a share of the labour of each importance."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from inventory.core.money import minor_unit, quantise
from inventory.core.sharing import split
from quotes.core.lines import Kind, PriceBook, PricedLine
from quotes.core.rows import Row
from quotes.core.totals import TIMED
from workshop.core.judgement import Importance

ZERO = Decimal(0)


def sundry_rows(lines: Sequence[PricedLine], book: PriceBook) -> tuple[Row, ...]:
    """Return a row for each importance that has labour; labour left out carries none.

    The least and the most of the whole quote are spread over the importances by their labour.
    What a sundry costs the shop is taken to be its full net price: no saving is reckoned on.
    """
    labour = {
        each: [
            line
            for line in lines
            if line.kind in TIMED and not line.left_out and line.importance == each
        ]
        for each in Importance
    }
    nets = {each: sum((line.net for line in group), ZERO) for each, group in labour.items()}
    amounts = _amounts(tuple(nets.values()), book)
    return tuple(
        _row(importance, labour[importance], amount, book)
        for importance, amount in zip(nets, amounts, strict=True)
        if amount
    )


def _amounts(nets: Sequence[Decimal], book: PriceBook) -> tuple[Decimal, ...]:
    """Return the sundries, net, for the labour of each importance, within the quote's limits."""
    rule = book.sundries
    plain = tuple(quantise(rule.share * net, book.currency) for net in nets)
    if not sum(nets, ZERO):
        return plain
    whole = max(sum(plain, ZERO), quantise(rule.least_net, book.currency))
    if rule.most_net is not None:
        whole = min(whole, quantise(rule.most_net, book.currency))
    if whole == sum(plain, ZERO):
        return plain
    return split(whole, nets, minor_unit(book.currency))


def _row(
    importance: Importance, labour: Sequence[PricedLine], amount: Decimal, book: PriceBook
) -> Row:
    """Return the row of one importance, traced to the findings whose labour carries it."""
    return Row(
        key=f"sundry:{importance.value}",
        kind=Kind.SUNDRY,
        description="Sundries",
        findings=tuple(dict.fromkeys(name for line in labour for name in line.findings)),
        importance=importance,
        quantity=Decimal(1),
        unit="lot",
        unit_price_net=amount,
        vat_code=book.labour_vat,
        whole_cost_net=amount,
    )
