"""The order of work on a job card: each access step opened once, closed after its last use."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from workshop.core.access import AccessStep, Operation, closure


class OrderError(ValueError):
    """Raised where operations wait for each other; ``codes`` are those that do."""

    def __init__(self, codes: Sequence[str]) -> None:
        self.codes = tuple(codes)
        super().__init__(f"These wait for each other: {', '.join(codes)}. Take one wait away.")


class ActKind(StrEnum):
    """What is done in one row of the order."""

    OPEN = "open"
    WORK = "work"
    CLOSE = "close"


@dataclass(frozen=True, slots=True)
class Act:
    """One row of the order: an access step opened or closed, or an operation done."""

    kind: ActKind
    code: str


def order_of(
    operations: Sequence[Operation],
    steps: Mapping[str, AccessStep],
    *,
    after: Mapping[str, Collection[str]] | None = None,
    opened: Sequence[str] = (),
) -> tuple[Act, ...]:
    """Return the operations in the order of work, with the access steps round them.

    A step is opened before all operations that need it, after the steps it ``needs`` itself, and
    closed as soon as nothing left needs it. ``after`` names for an operation those that must be
    done before; names that are not among the operations say nothing. ``opened`` are steps that
    are open already, in the order in which they were opened: they are only closed.

    Each step is opened once at most, whatever the waits: that is always possible, since no
    operation asks for a step to be closed. Of what may come next, what leaves the fewest steps
    standing open unused comes first, then what opens the fewest, then the order given; what
    needs no step comes last, on the bike put together again. The same input gives the same
    order. Raises ``AccessError`` as ``closure`` does, and ``OrderError`` where operations wait
    for each other.
    """
    once = {each.code: each for each in operations}
    needs = {code: closure(sorted(each.access), steps) for code, each in once.items()}
    waits = {
        code: {each for each in (after or {}).get(code, ()) if each in once and each != code}
        for code in once
    }
    standing = [step.code for step in closure(opened, steps) if step.code in opened]
    bench = _Bench(needs, waits, standing)
    return tuple(bench.acts())


@dataclass(slots=True)
class _Bench:
    """The bike while the order is made: what is left to do, and which steps stand open."""

    needs: Mapping[str, tuple[AccessStep, ...]]
    waits: Mapping[str, set[str]]
    open: list[str]
    left: list[str] = field(init=False)

    def __post_init__(self) -> None:
        """Begin with everything to do."""
        self.left = list(self.needs)

    def acts(self) -> Iterator[Act]:
        """Yield the rows in order."""
        yield from self._close_unused()
        while self.left:
            code = self._next()
            for step in self.needs[code]:
                if step.code not in self.open:
                    self.open.append(step.code)
                    yield Act(ActKind.OPEN, step.code)
            self.left.remove(code)
            yield Act(ActKind.WORK, code)
            yield from self._close_unused()

    def _next(self) -> str:
        """Return what to do next."""
        ready = [code for code in self.left if self.waits[code].isdisjoint(self.left)]
        if not ready:
            raise OrderError(self.left)
        return min(ready, key=self._cost)

    def _cost(self, code: str) -> tuple[bool, int, bool, int]:
        """Return what a choice costs: at what it uses nothing of, what it opens anew."""
        wanted = {step.code for step in self.needs[code]}
        idle = bool(self.open) and wanted.isdisjoint(self.open)
        unused = sum(step not in wanted for step in self.open)
        fresh = len(wanted - set(self.open))
        return idle, unused, not wanted, fresh

    def _close_unused(self) -> Iterator[Act]:
        """Yield the closing of steps that nothing left needs, last opened first."""
        wanted = {step.code for code in self.left for step in self.needs[code]}
        for step in reversed([each for each in self.open if each not in wanted]):
            self.open.remove(step)
            yield Act(ActKind.CLOSE, step)
