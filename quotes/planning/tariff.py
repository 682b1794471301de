"""From the price book to what the plan reckons with: whole minor units, as pricing prints them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inventory.core.money import minor_unit, quantise
from quotes.core.lines import OperationUse, PartUse, PriceBook
from quotes.core.planning import Tariff, Work
from quotes.core.work import PricingError
from quotes.quoting.selectors.book import RemedyWork
from workshop.core.access import AccessStep, Operation, closure

HUNDREDTHS = Decimal(100)
MINUTES_AN_HOUR = Decimal(60)
LOOSE = "loose:"
"""Before the code of an operation that fits a part but is not itself asked for."""


@dataclass(frozen=True, slots=True)
class Pricer:
    """Prices by the shop's cost, or by what the customer pays; all net."""

    book: PriceBook
    by_cost: bool

    def units(self, amount: Decimal) -> int:
        """Return an amount as whole minor units, quantised as a line is."""
        step = minor_unit(self.book.currency)
        return int(quantise(amount, self.book.currency) / step)

    def money(self, units: int) -> Decimal:
        """Return whole minor units as an amount."""
        return units * minor_unit(self.book.currency)

    def timed(self, band: str, minutes: Decimal, name: str) -> int:
        """Return what minutes of a skill band come to.

        Raises:
            PricingError: the price book has no rate for the band.
        """
        if band not in self.book.labour:
            raise PricingError(f"No labour rate for the band “{band}” of “{name}”. Enter one.")
        rate = self.book.labour[band]
        hourly = rate.cost_net if self.by_cost else rate.charged_net
        return self.units(minutes * hourly / MINUTES_AN_HOUR)

    def part(self, use: PartUse) -> int:
        """Return what a part as a remedy asks for it comes to."""
        return self.units(use.quantity * (use.cost_net if self.by_cost else use.price_net))


def works_for(work: RemedyWork) -> tuple[Work, ...]:
    """Return a remedy's work as the plan takes it; a part that no operation fits stands alone."""
    asked = {use.operation.code: use.times for use in work.operations}
    fitted: dict[str, dict[str, int]] = {code: {} for code in asked}
    for use in work.parts:
        code = use.operation if use.operation in asked else LOOSE + use.operation
        fitted.setdefault(code, {})[use.code] = int(use.quantity * HUNDREDTHS)
    return tuple(Work(code, asked.get(code, 1), parts) for code, parts in fitted.items())


def tariff_for(works: Iterable[RemedyWork], pricer: Pricer) -> Tariff:
    """Return the prices of everything that these remedies may ask for.

    Raises:
        PricingError: a rate is missing.
        AccessError: the access steps do not hang together.
    """
    works = list(works)
    uses = {(use.operation.code, use.times): use for work in works for use in work.operations}
    operations = {use.operation.code: use.operation for use in uses.values()}
    paths = {code: _path(each, pricer) for code, each in operations.items()}
    loose = {
        each.operation for work in works for each in works_for(work) if LOOSE in each.operation
    }
    return Tariff(
        labour={key: _labour(use, pricer) for key, use in uses.items()}
        | {(code, 1): 0 for code in loose},
        parts={
            (use.code, int(use.quantity * HUNDREDTHS)): pricer.part(use)
            for work in works
            for use in work.parts
        },
        steps={
            step.code: pricer.timed(step.band, step.minutes, step.name)
            for path in paths.values()
            for step in path
        },
        access={code: frozenset(step.code for step in path) for code, path in paths.items()},
        covers={code: each.covers for code, each in operations.items()},
    )


def _path(operation: Operation, pricer: Pricer) -> tuple[AccessStep, ...]:
    return closure(sorted(operation.access), pricer.book.steps)


def _labour(use: OperationUse, pricer: Pricer) -> int:
    operation = use.operation
    return pricer.timed(operation.band, operation.minutes * use.times, operation.name)
