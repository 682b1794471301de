"""The figures of a decision, as the page shows them and as they are kept."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from quotes.charts.chart import Chart


@dataclass(frozen=True, slots=True)
class Given:
    """What is asked about: price asked and resale price gross, the shop's policy, shares.

    ``resale_low`` and ``resale_high`` are prices below and above which one outcome in ten lies.
    ``parts_value`` is what the bike brings for its parts, gross; ``guess`` what the work is
    thought to cost where nobody has priced it, None where it is known.
    """

    price: Decimal
    resale_low: Decimal
    resale: Decimal
    resale_high: Decimal
    target: Decimal
    confidence: Decimal
    scheme: str
    vat_rate: Decimal
    selling_fee_share: Decimal
    selling_fee_net: Decimal
    warranty_share: Decimal
    parts_value: Decimal
    guess: Decimal | None
    currency: str


@dataclass(frozen=True, slots=True)
class Tenths:
    """Amounts that 10, 50 and 90 outcomes in a hundred stay at or below."""

    p10: Decimal
    p50: Decimal
    p90: Decimal


@dataclass(frozen=True, slots=True)
class JobRow:
    """What a finding takes at the shop's cost, net: at best, likely, at worst."""

    name: str
    remedy: str
    low: Decimal
    likely: Decimal
    high: Decimal


@dataclass(frozen=True, slots=True)
class HiddenRow:
    """What may hide, its probability on an ordinary life, and its cost if it is there, net."""

    words: str
    probability: float
    low: Decimal
    likely: Decimal
    high: Decimal


@dataclass(frozen=True, slots=True)
class Mover:
    """A fact that moves the profit, in words at both ends, and the profits they lead to."""

    name: str
    at_low: str
    at_high: str
    low: Decimal
    high: Decimal


@dataclass(frozen=True, slots=True)
class Way:
    """A way to deal with the bike: what it brings and earns, how surely, how long it takes.

    ``profit`` is the likely one; ``reaches`` and ``loses`` are shares of outcomes, None for
    leaving it. ``resale`` is gross, None where nothing is sold.
    """

    name: str
    how: str
    resale: Decimal | None
    profit: Decimal
    reaches: float | None
    loses: float | None
    minutes: Decimal


@dataclass(frozen=True, slots=True)
class Checked:
    """Mean and standard deviation of the cost, drawn and in closed form."""

    mean: Decimal
    mean_exact: Decimal
    deviation: Decimal
    deviation_exact: Decimal


@dataclass(frozen=True, slots=True)
class Charts:
    """The pictures: profit and cost by how often, and what moves the profit."""

    profit: Chart
    cost: Chart
    movers: Chart


@dataclass(frozen=True, slots=True)
class Figures:
    """Everything a decision rests on and comes to; all amounts quantised.

    ``ceiling`` is the price at which ``given.confidence`` of the outcomes reach the target,
    ``ceiling_likely`` that of the likely case; None where not even a gift would do.
    ``provenance`` is what is still to be seen to about where the bike comes from.
    """

    given: Given
    word: str
    reasons: tuple[str, ...]
    ceiling: Decimal | None
    ceiling_likely: Decimal | None
    opening: Decimal | None
    opening_words: str
    reaches: float
    loses: float
    profit_likely: Decimal
    work_likely: Decimal
    minutes: Decimal
    profit: Tenths
    cost: Tenths
    jobs: tuple[JobRow, ...]
    hidden: tuple[HiddenRow, ...]
    movers: tuple[Mover, ...]
    ways: tuple[Way, ...]
    best_words: str
    checked: Checked
    charts: Charts
    cautions: tuple[str, ...]
    resale_words: str
    work_words: str
    draws: int
    seed: int
    provenance: tuple[str, ...] = ()
