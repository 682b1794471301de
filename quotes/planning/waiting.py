"""How long each remedy's parts are waited for, and what the plan reckons that at."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal

from inventory.core.money import ZERO
from inventory.stock.waiting import Wanted, days_to_wait
from quotes.core.planning import Candidate
from quotes.planning.tariff import Pricer
from quotes.quoting.selectors.book import RemedyWork
from workshop.shop.models import Shop


@dataclass(frozen=True, slots=True)
class Waiting:
    """What a working day's waiting is worth, net, and how many days each remedy (by pk) waits.

    ``days`` holds remedies with parts only: the longest wait among those, 0 where all are on the
    shelf. It is empty where waiting is left out or the stock ledger is not in use.
    """

    day_net: Decimal = ZERO
    days: Mapping[int, int] = field(default_factory=dict)

    def weigh(self, candidates: Iterable[Candidate], pricer: Pricer) -> tuple[Candidate, ...]:
        """Return the candidates with their waiting as a penalty; each waits by itself."""
        return tuple(
            replace(each, penalty=pricer.units(self.day_net * self.days.get(int(each.code), 0)))
            for each in candidates
        )


def waiting_for(works: Mapping[int, RemedyWork], shop: Shop) -> Waiting:
    """Return how long the parts of remedies (by pk) are waited for, in three queries at most."""
    if not shop.waiting_day_net:
        return Waiting()
    wanted = {pk: _wanted(work) for pk, work in works.items()}
    waits = days_to_wait(
        (pair for pairs in wanted.values() for pair in pairs), shop.usual_lead_days
    )
    if not waits:
        return Waiting()
    days = {pk: max(waits[pair] for pair in pairs) for pk, pairs in wanted.items() if pairs}
    return Waiting(shop.waiting_day_net, days)


def _wanted(work: RemedyWork) -> frozenset[Wanted]:
    """Return how many of each part a remedy fits, all its operations together."""
    sums: dict[str, Decimal] = defaultdict(Decimal)
    for use in work.parts:
        sums[use.code] += use.quantity
    return frozenset(sums.items())
