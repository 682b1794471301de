"""What a file of comparables would add: new rows, and those that are here already."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from quotes.resale.importing.checking import Checked, Problem, check_file
from quotes.resale.selectors.twins import twin_key, twins_kept
from workshop.shop.models import Shop

Numbered = tuple[int, dict[str, Any]]


@dataclass(frozen=True, slots=True)
class Plan:
    """The rows of a file to add, those that are here or in it twice, and how it was read."""

    checked: Checked
    new: tuple[Numbered, ...]
    twins: tuple[Numbered, ...]

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Return what is wrong in the file; nothing of it is added while there is any."""
        return self.checked.problems


def plan_import(data: bytes, shop: Shop) -> Plan:
    """Return what a file would add, in two queries at most.

    Raises:
        SheetError: it cannot be read as a table of comparables.
    """
    checked = check_file(data, shop)
    seen = twins_kept(facts["seen_on"] for _, facts in checked.good)
    new: list[Numbered] = []
    twins: list[Numbered] = []
    for number, facts in checked.good:
        key = twin_key(facts)
        (twins if key in seen else new).append((number, facts))
        seen.add(key)
    return Plan(checked, tuple(new), tuple(twins))
