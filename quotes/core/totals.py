"""Sums of printed lines, in all, by importance and by VAT rate; and the minutes they take."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Protocol

from quotes.core.lines import Kind, Sum, Totals, VatSum
from workshop.core.judgement import Importance

ZERO = Decimal(0)
TIMED = (Kind.LABOUR, Kind.ACCESS)


class Counted(Protocol):
    """A line as far as sums look at it: a priced one, or one read back from where it is kept."""

    @property
    def kind(self) -> str:
        """What it charges for, a ``Kind``."""

    @property
    def importance(self) -> str:
        """How long it may wait, an ``Importance``."""

    @property
    def quantity(self) -> Decimal:
        """Minutes for labour and access."""

    @property
    def net(self) -> Decimal:
        """Money without VAT, quantised."""

    @property
    def vat_rate(self) -> Decimal:
        """The rate as a fraction."""

    @property
    def vat(self) -> Decimal:
        """The VAT, quantised."""

    @property
    def gross(self) -> Decimal:
        """Money with VAT, quantised."""

    @property
    def left_out(self) -> bool:
        """Whether it counts nothing."""


def totals(
    lines: Iterable[Counted], importance: Importance | None = None, *, registered: bool = True
) -> Totals:
    """Return the sums of the lines that are not left out.

    With ``importance`` only lines of that importance are counted. ``by_importance`` always has
    all three; ``by_rate`` has the highest rate first and is empty where the shop is not
    ``registered`` for VAT.
    """
    counted = [
        line
        for line in lines
        if not line.left_out and (importance is None or line.importance == importance)
    ]
    return Totals(
        _sum(counted),
        {each: _sum([line for line in counted if line.importance == each]) for each in Importance},
        _by_rate(counted) if registered else (),
    )


def _sum(lines: Sequence[Counted]) -> Sum:
    """Add up net, VAT and gross, each by itself."""
    return Sum(
        sum((line.net for line in lines), ZERO),
        sum((line.vat for line in lines), ZERO),
        sum((line.gross for line in lines), ZERO),
    )


def _by_rate(lines: Sequence[Counted]) -> tuple[VatSum, ...]:
    """Add up what falls under each VAT rate."""
    rates = sorted({line.vat_rate for line in lines}, reverse=True)
    sums = [(rate, _sum([line for line in lines if line.vat_rate == rate])) for rate in rates]
    return tuple(VatSum(rate, each.net, each.vat) for rate, each in sums)


def labour_minutes(lines: Iterable[Counted]) -> Decimal:
    """Return the minutes of labour and access of the lines that are not left out."""
    timed = (line for line in lines if line.kind in TIMED and not line.left_out)
    return sum((line.quantity for line in timed), ZERO)
