"""Access steps shared between operations: each distinct one is done, and charged, once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from inventory.core.sharing import split

HUNDREDTH = Decimal("0.01")
ZERO = Decimal(0)


class AccessError(ValueError):
    """Raised where the catalogue's access steps do not hang together."""


@dataclass(frozen=True, slots=True)
class AccessStep:
    """Work to reach something, ``minutes`` out and in; ``needs`` are codes that come first."""

    code: str
    name: str
    minutes: Decimal
    band: str
    needs: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Operation:
    """A piece of labour with its standard time in minutes, without access.

    ``access`` are codes of steps; ``covers`` are codes of operations this one makes needless.
    """

    code: str
    name: str
    minutes: Decimal
    band: str
    access: frozenset[str] = frozenset()
    covers: frozenset[str] = frozenset()


def closure(codes: Iterable[str], steps: Mapping[str, AccessStep]) -> tuple[AccessStep, ...]:
    """Return the steps of these codes with all they need, each once, what is needed first.

    The order depends on the order of ``codes`` alone. Raises ``AccessError`` for a code that is
    not in the catalogue and for steps that need each other.
    """
    found: dict[str, AccessStep] = {}
    for code in codes:
        _reach(code, steps, found, ())
    return tuple(found.values())


def _reach(
    code: str,
    steps: Mapping[str, AccessStep],
    found: dict[str, AccessStep],
    path: tuple[str, ...],
) -> None:
    """Add a step after the steps it needs; ``path`` are the codes that led here."""
    if code in path:
        around = " → ".join((*path[path.index(code) :], code))
        raise AccessError(f"Access steps need each other: {around}. Take one of these needs away.")
    if code in found:
        return
    if code not in steps:
        raise AccessError(f"There is no access step “{code}” in the catalogue. Add it there.")
    for need in sorted(steps[code].needs):
        _reach(need, steps, found, (*path, code))
    found[code] = steps[code]


def distinct_steps(
    operations: Iterable[Operation], steps: Mapping[str, AccessStep]
) -> tuple[AccessStep, ...]:
    """Return every step that any of the operations needs, once, what is needed first.

    Raises ``AccessError`` as ``closure`` does.
    """
    return closure((code for each in operations for code in sorted(each.access)), steps)


def total_minutes(operations: Iterable[Operation], steps: Mapping[str, AccessStep]) -> Decimal:
    """Return the minutes of a set of operations: each operation once, each distinct step once.

    Raises ``AccessError`` as ``closure`` does.
    """
    once = {each.code: each for each in operations}.values()
    labour = sum((each.minutes for each in once), ZERO)
    return labour + sum((step.minutes for step in distinct_steps(once, steps)), ZERO)


def shares(
    needs_by_finding: Mapping[str, Iterable[str]], steps: Mapping[str, AccessStep]
) -> dict[str, Decimal]:
    """Return each finding's share, in minutes, of the access steps that the findings need.

    A step's minutes are split evenly over the findings that need it, itself or through another
    step, to a hundredth of a minute or as fine as the step's own minutes; all shares together
    are the minutes of the distinct steps. Raises ``AccessError`` as ``closure`` does.
    """
    reached = {name: closure(sorted(codes), steps) for name, codes in needs_by_finding.items()}
    share = dict.fromkeys(reached, ZERO)
    for step in closure((each.code for found in reached.values() for each in found), steps):
        sharers = [name for name, found in reached.items() if step in found]
        unit = min(HUNDREDTH, Decimal(1).scaleb(int(step.minutes.as_tuple().exponent)))
        parts = split(step.minutes, [Decimal(1)] * len(sharers), unit)
        for name, part in zip(sharers, parts, strict=True):
            share[name] += part
    return share
