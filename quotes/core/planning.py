"""What the cheapest plan takes in and gives out: candidates, limits, the plan, conflicts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Work:
    """An operation as a candidate asks for it: how often, and the parts it fits.

    ``parts`` maps a part's code to its quantity, in hundredths of its unit.
    """

    operation: str
    times: int = 1
    parts: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Candidate:
    """A remedy, or a service package where it cures several findings.

    ``penalty`` is a soft cost in minor units of the currency: waiting for a part that is not on
    the shelf. ``needs`` are codes of candidates that must be chosen with it. A candidate is
    chosen only to cure at least one finding.
    """

    code: str
    cures: frozenset[str]
    works: tuple[Work, ...]
    penalty: int = 0
    needs: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Tariff:
    """What things cost, in minor units of the currency, each amount quantised as on paper.

    ``labour`` gives the charge of an operation done so many times, ``parts`` that of so many
    hundredths of a part, ``steps`` that of an access step done once. ``access`` maps an
    operation to all the steps it needs; ``covers`` maps an operation to those it makes needless.
    """

    labour: Mapping[tuple[str, int], int]
    parts: Mapping[tuple[str, int], int]
    steps: Mapping[str, int]
    access: Mapping[str, frozenset[str]] = field(default_factory=dict)
    covers: Mapping[str, frozenset[str]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Limits:
    """What a plan must respect.

    ``exclude`` are pairs of candidates that do not go together; ``locked`` must be chosen and
    ``barred`` must not. ``keep`` is the candidate that each finding has now: of plans that cost
    the same, the one that changes least is taken.
    """

    exclude: frozenset[frozenset[str]] = frozenset()
    locked: frozenset[str] = frozenset()
    barred: frozenset[str] = frozenset()
    keep: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Plan:
    """The cheapest plan; ``proven`` says that nothing cheaper exists, to the minor unit.

    ``cost`` is what is charged, without the soft ``penalty``, in minor units; ``plain_sum`` is
    the cost of each finding cured by itself, cheapest first, sharing nothing; ``saving`` is the
    difference. ``done`` and ``needless`` are operations, ``steps`` the access opened once.
    """

    chosen: tuple[str, ...]
    cured_by: Mapping[str, str]
    done: tuple[str, ...]
    needless: tuple[str, ...]
    steps: tuple[str, ...]
    cost: int
    penalty: int
    plain_sum: int
    proven: bool = True

    @property
    def saving(self) -> int:
        """Return what sharing saves against the plain sum, in minor units."""
        return self.plain_sum - self.cost


class NoPlanError(Exception):
    """No choice of candidates cures every finding within the limits.

    ``findings`` are a smallest set that cannot be cured together: leave any one of them uncured
    and the rest can be. It is empty where the limits contradict each other.
    """

    def __init__(self, findings: tuple[str, ...]) -> None:
        super().__init__("These findings cannot be cured together: " + ", ".join(findings))
        self.findings = findings
