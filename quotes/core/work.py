"""What the jobs come to: operations done once, parts fitted once, work made needless."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from quotes.core.lines import Job, PartUse
from workshop.core.access import AccessStep, Operation, closure
from workshop.core.judgement import Importance


class PricingError(ValueError):
    """Raised where the jobs or the price book cannot be priced; says what to put right."""


@dataclass(frozen=True, slots=True)
class Done:
    """An operation to be done once, ``times`` over, for the findings that ask for it.

    ``importance`` is the most pressing of those findings and of the findings whose own
    operations it makes needless. ``left_out`` ones are shown, not done.
    """

    operation: Operation
    times: int
    findings: tuple[str, ...]
    importance: Importance
    left_out: bool = False


@dataclass(frozen=True, slots=True)
class Fitted:
    """A part used once, in the largest quantity that a finding asks for.

    ``left_out`` says that the operation which fits it is left out.
    """

    part: PartUse
    findings: tuple[str, ...]
    importance: Importance
    left_out: bool = False


@dataclass(frozen=True, slots=True)
class Reached:
    """An access step done once, for the operations and findings that need it."""

    step: AccessStep
    operations: tuple[str, ...]
    findings: tuple[str, ...]
    importance: Importance
    left_out: bool = False


@dataclass(frozen=True, slots=True)
class Work:
    """All that is to be done, in walk order; ``covered`` as in ``Pricing``."""

    done: tuple[Done, ...]
    fitted: tuple[Fitted, ...]
    covered: Mapping[str, str]


def most_pressing(importances: Iterable[Importance]) -> Importance:
    """Return the importance that may wait least; there must be at least one."""
    return min(importances, key=lambda each: each.rank)


def covering(
    operations: Sequence[Operation], left_out: frozenset[str] = frozenset()
) -> dict[str, tuple[str, ...]]:
    """Return which operations are made needless: code → codes of the kept ones that do so.

    What is covered by a covered operation is covered too. Of operations that cover each other
    the first is kept. One that is ``left_out`` covers nothing, since it is not done.
    """
    place = {each.code: index for index, each in enumerate(operations)}
    covers = {each.code: each.covers.intersection(place) for each in operations}
    reach = {code: _reach(code, covers) for code in place}
    beaten: dict[str, list[str]] = {code: [] for code in place}
    for one in place.keys() - left_out:
        for other in reach[one]:
            mutual = one in reach[other] and other not in left_out
            if not mutual or place[one] < place[other]:
                beaten[other].append(one)
    return {
        code: tuple(sorted((one for one in by if not beaten[one]), key=lambda one: place[one]))
        for code, by in beaten.items()
        if by
    }


def _reach(code: str, covers: Mapping[str, frozenset[str]]) -> set[str]:
    """Return the codes that an operation covers, straight or through others, without itself."""
    found: set[str] = set()
    todo = [code]
    while todo:
        new = covers[todo.pop()] - found
        found |= new
        todo.extend(new)
    return found - {code}


def gather(jobs: Sequence[Job], left_out: frozenset[str] = frozenset()) -> Work:
    """Return the work of jobs in walk order; ``left_out`` are codes of operations not done.

    An operation asked for by several findings is done once, the largest number of times asked
    for. Operations that another one covers are dropped together with their parts; where several
    do, the most pressing one counts as covering it. Raises ``PricingError`` where a finding comes
    twice.
    """
    _refuse_twice(jobs)
    asked: dict[str, Operation] = {}
    for use in (use for job in jobs for use in job.operations):
        asked.setdefault(use.operation.code, use.operation)
    own = _importance_by_operation(jobs, {})
    dropped = {
        code: min(by, key=lambda one: (own[one].rank, one))
        for code, by in covering(tuple(asked.values()), left_out).items()
    }
    pressing = _importance_by_operation(jobs, dropped)
    asking = _asking(jobs)
    done = tuple(
        Done(
            operation,
            times=max(times for _, times in asking[code]),
            findings=tuple(dict.fromkeys(finding for finding, _ in asking[code])),
            importance=pressing[code],
            left_out=code in left_out,
        )
        for code, operation in asked.items()
        if code not in dropped
    )
    covered = {}
    for job in jobs:
        codes = [use.operation.code for use in job.operations]
        if codes and all(code in dropped for code in codes):
            covered[job.finding] = asked[dropped[codes[0]]].name
    return Work(done, _fitted(jobs, dropped, pressing, left_out), covered)


def _refuse_twice(jobs: Sequence[Job]) -> None:
    """Raise ``PricingError`` for a finding that comes twice."""
    seen: set[str] = set()
    for job in jobs:
        if job.finding in seen:
            raise PricingError(f"Finding {job.finding} comes twice. Give it one job.")
        seen.add(job.finding)


def _importance_by_operation(
    jobs: Sequence[Job], dropped: Mapping[str, str]
) -> dict[str, Importance]:
    """Return how pressing each kept operation is, for its own findings and those it covers."""
    pressing: dict[str, Importance] = {}
    for job in jobs:
        for use in job.operations:
            code = dropped.get(use.operation.code, use.operation.code)
            pressing[code] = most_pressing((job.importance, pressing.get(code, job.importance)))
    return pressing


def _asking(jobs: Sequence[Job]) -> dict[str, list[tuple[str, int]]]:
    """Return for each operation's code the findings that ask for it, each with how many times."""
    asking: dict[str, list[tuple[str, int]]] = {}
    for job in jobs:
        for use in job.operations:
            asking.setdefault(use.operation.code, []).append((job.finding, use.times))
    return asking


def _fitted(
    jobs: Sequence[Job],
    dropped: Mapping[str, str],
    pressing: Mapping[str, Importance],
    left_out: frozenset[str],
) -> tuple[Fitted, ...]:
    """Return each part of an operation once; one of a covering operation is as pressing as it.

    A part whose operation nobody asks for is kept: nothing is dropped in silence.
    """
    covers = set(dropped.values())
    found: dict[tuple[str, str], Fitted] = {}
    for job in jobs:
        for use in job.parts:
            if use.operation in dropped:
                continue
            importance = job.importance
            if use.operation in covers:
                importance = most_pressing((importance, pressing[use.operation]))
            new = Fitted(use, (job.finding,), importance, use.operation in left_out)
            key = (use.operation, use.code)
            found[key] = _more(found[key], new) if key in found else new
    return tuple(found.values())


def _more(one: Fitted, other: Fitted) -> Fitted:
    """Return two askings for the same part as one."""
    largest = max(one.part.quantity, other.part.quantity)
    return Fitted(
        replace(one.part, quantity=largest),
        tuple(dict.fromkeys((*one.findings, *other.findings))),
        most_pressing((one.importance, other.importance)),
        one.left_out,
    )


def reached(done: Sequence[Done], steps: Mapping[str, AccessStep]) -> tuple[Reached, ...]:
    """Return each access step once, for the operations that need it, straight or through others.

    Where some of these are left out, the step is there for the others; where all are, it is left
    out. Raises ``AccessError`` for steps that are unknown or need each other.
    """
    needs = {each.operation.code: closure(sorted(each.operation.access), steps) for each in done}
    found = []
    for step in dict.fromkeys(step for path in needs.values() for step in path):
        asking = [each for each in done if step in needs[each.operation.code]]
        active = [each for each in asking if not each.left_out]
        counted = active or asking
        found.append(
            Reached(
                step,
                tuple(each.operation.code for each in counted),
                tuple(dict.fromkeys(name for each in counted for name in each.findings)),
                most_pressing(each.importance for each in counted),
                left_out=not active,
            )
        )
    return tuple(found)
