"""The cheapest set of remedies for all findings together, by integer programming.

A candidate's operations are done once however many candidates ask for them, at the largest
count; their access steps are opened once; an operation that another one makes needless is not
done, and fits no parts. All costs are whole minor units, so the optimum is exact and equals what
pricing prints before sundries and VAT.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from quotes.core.planning import Candidate, Limits, NoPlanError, Plan, Tariff

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

NO_LIMITS = Limits()
PATIENCE = 20
"""Seconds after which the best plan found so far is taken, and not called proven."""
OPTIMAL = 0
"""How scipy's milp says that the optimum was found."""


def cheapest_plan(
    findings: Sequence[str],
    candidates: Sequence[Candidate],
    tariff: Tariff,
    limits: Limits = NO_LIMITS,
) -> Plan:
    """Choose candidates that cure every finding at least cost.

    Raises:
        NoPlanError: some findings cannot be cured together within the limits.
    """
    plan = _best(findings, candidates, tariff, limits)
    if plan is None:
        raise NoPlanError(_conflict(findings, candidates, tariff, limits))
    return plan


def next_best(
    finding: str,
    plan: Plan,
    candidates: Sequence[Candidate],
    tariff: Tariff,
    limits: Limits = NO_LIMITS,
) -> Plan | None:
    """Return the cheapest plan that cures one finding otherwise than ``plan`` does, if any."""
    barred = plan.cured_by[finding]
    others = [
        replace(each, cures=each.cures - {finding}) if each.code == barred else each
        for each in candidates
    ]
    return _best(tuple(plan.cured_by), others, tariff, limits)


def _best(
    findings: Sequence[str], candidates: Sequence[Candidate], tariff: Tariff, limits: Limits
) -> Plan | None:
    problem = _Problem.of(findings, candidates, tariff, limits)
    values = problem.solve()
    return None if values is None else problem.plan(values)


def plain_sum(findings: Iterable[str], candidates: Sequence[Candidate], tariff: Tariff) -> int:
    """Return the cost of curing each finding by itself, sharing nothing, in minor units."""
    alone = {each.code: cost_of([each], tariff) for each in candidates}
    return sum(
        min((alone[each.code] for each in candidates if finding in each.cures), default=0)
        for finding in findings
    )


def closed_covers(covers: Mapping[str, frozenset[str]]) -> dict[str, frozenset[str]]:
    """Return which operations each one makes needless, directly or through another."""
    closed = {}
    for start in covers:
        seen: set[str] = set()
        stack = list(covers[start])
        while stack:
            code = stack.pop()
            if code not in seen:
                seen.add(code)
                stack += covers.get(code, ())
        closed[start] = frozenset(seen - {start})
    return closed


def _wanted(chosen: Iterable[Candidate]) -> tuple[dict[str, int], dict[tuple[str, str], int]]:
    """Return the largest count of each operation and of each part it fits."""
    times: dict[str, int] = {}
    parts: dict[tuple[str, str], int] = {}
    for candidate in chosen:
        for work in candidate.works:
            times[work.operation] = max(times.get(work.operation, 0), work.times)
            for part, quantity in work.parts.items():
                key = (work.operation, part)
                parts[key] = max(parts.get(key, 0), quantity)
    return times, parts


def cost_of(
    chosen: Sequence[Candidate], tariff: Tariff, needless: frozenset[str] = frozenset()
) -> int:
    """Return what the chosen candidates cost together, in minor units, without penalties.

    ``needless`` operations are left out; it is for the caller to name only covered ones.
    """
    times, parts = _wanted(chosen)
    done = {code: count for code, count in times.items() if code not in needless}
    steps = set().union(*(tariff.access.get(code, frozenset()) for code in done))
    return (
        sum(tariff.labour[code, count] for code, count in done.items())
        + sum(tariff.parts[part, many] for (code, part), many in parts.items() if code in done)
        + sum(tariff.steps[step] for step in steps)
    )


def _conflict(
    findings: Sequence[str], candidates: Sequence[Candidate], tariff: Tariff, limits: Limits
) -> tuple[str, ...]:
    """Return a smallest set of findings without a plan, by no longer asking for one after another.

    What is not asked for may still be cured: a remedy may need another that cures only that.
    """
    kept = list(findings)
    for finding in findings:
        fewer = [each for each in kept if each != finding]
        optional = frozenset(findings).difference(fewer)
        if _Problem.of(findings, candidates, tariff, limits, optional).solve() is None:
            kept = fewer
    return tuple(kept)


def _no_gap(gap: float | None) -> bool:
    """Tell whether nothing lies between the solution and its bound; None where none was open."""
    return not gap


@dataclass(slots=True)
class _Problem:
    """A mixed-integer programme: named columns with costs, and rows ``low ≤ Σ a·x``.

    ``optional`` findings may be cured or not.
    """

    findings: Sequence[str]
    candidates: Sequence[Candidate]
    tariff: Tariff
    limits: Limits
    optional: frozenset[str] = frozenset()
    cost: list[int] = field(default_factory=list)
    column: dict[tuple[str, ...], int] = field(default_factory=dict)
    rows: list[tuple[dict[int, int], float]] = field(default_factory=list)
    changes: list[int] = field(default_factory=list)
    proven: bool = False

    @classmethod
    def of(
        cls,
        findings: Sequence[str],
        candidates: Sequence[Candidate],
        tariff: Tariff,
        limits: Limits,
        optional: frozenset[str] = frozenset(),
    ) -> _Problem:
        """Set up columns and rows."""
        problem = cls(findings, candidates, tariff, limits, optional)
        problem._choose()
        problem._operations()
        problem._parts()
        return problem

    def _add(self, *name: str, cost: int = 0) -> int:
        self.column[name] = len(self.cost)
        self.cost.append(cost)
        return self.column[name]

    def _at_least(self, low: float, terms: dict[int, int]) -> None:
        self.rows.append((terms, low))

    def _choose(self) -> None:
        """Cure every finding; respect locks, exclusions and dependencies."""
        x = {each.code: self._add("x", each.code, cost=each.penalty) for each in self.candidates}
        self._cure(x)
        for pair in self.limits.exclude:
            self._at_least(-1, {x[code]: -1 for code in pair if code in x})
        for code in self.limits.locked:
            self._at_least(1, {x[code]: 1} if code in x else {})
        for code in self.limits.barred & x.keys():
            self._at_least(0, {x[code]: -1})
        for each in self.candidates:
            for other in each.needs:
                self._at_least(0, {x[each.code]: -1} | ({x[other]: 1} if other in x else {}))

    def _cure(self, x: Mapping[str, int]) -> None:
        """Give each finding one candidate; choose none that no finding is given."""
        given: dict[str, list[int]] = {code: [] for code in x}
        for finding in self.findings:
            ways = {}
            for each in self.candidates:
                if finding in each.cures:
                    ways[self._add("cure", finding, each.code)] = each.code
            if finding not in self.optional:
                self._at_least(1, dict.fromkeys(ways, 1))
            self._at_least(-1, dict.fromkeys(ways, -1))
            for column, code in ways.items():
                self._at_least(0, {x[code]: 1, column: -1})
                given[code].append(column)
                if self.limits.keep.get(finding, code) != code:
                    self.changes.append(column)
        for code, columns in given.items():
            self._at_least(0, dict.fromkeys(columns, 1) | {x[code]: -1})

    def _operations(self) -> None:
        """Do each operation asked for, or have it made needless by one that is done."""
        levels: dict[str, set[int]] = {}
        for each in self.candidates:
            for work in each.works:
                levels.setdefault(work.operation, set()).add(work.times)
        for code in levels:
            self._add("done", code)
            self._add("covered", code)
        covered_by: dict[str, list[str]] = {code: [] for code in levels}
        for code, needless in closed_covers(self.tariff.covers).items():
            for other in needless & levels.keys():
                if code in levels:
                    covered_by[other].append(code)
        for code, counts in levels.items():
            terms = {self.column["done", other]: 1 for other in covered_by[code]}
            self._at_least(0, terms | {self.column["covered", code]: -1})
            self._done(code)
            self._access(code)
            self._levels(("labour", code), counts, self.tariff.labour, code)
        for each in self.candidates:
            for work in each.works:
                self._ask(each, work.operation, ("done", work.operation))
                self._ask(each, work.operation, ("labour", work.operation, str(work.times)))

    def _done(self, code: str) -> None:
        """Do only what a chosen candidate asks for, and not what is made needless."""
        done = self.column["done", code]
        self._at_least(-1, {done: -1, self.column["covered", code]: -1})
        askers = {
            self.column["x", each.code]: 1
            for each in self.candidates
            if any(work.operation == code for work in each.works)
        }
        self._at_least(0, askers | {done: -1})

    def _access(self, code: str) -> None:
        for step in self.tariff.access.get(code, frozenset()):
            if ("step", step) not in self.column:
                self._add("step", step, cost=self.tariff.steps[step])
            self._at_least(0, {self.column["step", step]: 1, self.column["done", code]: -1})

    def _levels(
        self,
        name: tuple[str, ...],
        counts: set[int],
        prices: Mapping[tuple[str, int], int],
        code: str,
    ) -> None:
        """Add a column for each count asked for; a higher one includes the lower ones."""
        before, below = 0, None
        for count in sorted(counts):
            price = prices[code, count]
            here = self._add(*name, str(count), cost=price - before)
            if below is not None:
                self._at_least(0, {below: 1, here: -1})
            before, below = price, here

    def _parts(self) -> None:
        """Fit the largest quantity of each part that an operation asks for."""
        asked: dict[tuple[str, str], set[int]] = {}
        for each in self.candidates:
            for work in each.works:
                for part, quantity in work.parts.items():
                    asked.setdefault((work.operation, part), set()).add(quantity)
        for (operation, part), counts in asked.items():
            self._levels(("part", operation, part), counts, self.tariff.parts, part)
        for each in self.candidates:
            for work in each.works:
                for part, quantity in work.parts.items():
                    name = ("part", work.operation, part, str(quantity))
                    self._ask(each, work.operation, name)

    def _ask(self, candidate: Candidate, operation: str, name: tuple[str, ...]) -> None:
        """Where the candidate is chosen, have the column on unless the operation is covered."""
        self._at_least(
            0,
            {
                self.column[name]: 1,
                self.column["covered", operation]: 1,
                self.column["x", candidate.code]: -1,
            },
        )

    def solve(self) -> list[int] | None:
        """Return the columns' values at the optimum, or None where there is no solution."""
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array

        if any(low > 0 and not terms for terms, low in self.rows):
            return None
        if not self.cost:
            self.proven = True
            return []
        entries = [(r, c, v) for r, (terms, _) in enumerate(self.rows) for c, v in terms.items()]
        row, col, value = zip(*entries, strict=True) if entries else ((), (), ())
        matrix = csr_array((value, (row, col)), shape=(len(self.rows), len(self.cost)))
        result = milp(
            self._weights(),
            integrality=np.ones(len(self.cost)),
            bounds=Bounds(0, 1),
            constraints=LinearConstraint(matrix, lb=[low for _, low in self.rows]),
            options={"mip_rel_gap": 0, "time_limit": PATIENCE},
        )
        self.proven = result.status == OPTIMAL and _no_gap(result.mip_gap)
        return None if result.x is None else [round(each) for each in result.x]

    def _weights(self) -> NDArray[np.float64]:
        """Return the columns’ costs; all changes together weigh less than a minor unit."""
        import numpy as np

        weights = np.array(self.cost, dtype=float) * (len(self.findings) + 1)
        weights[self.changes] += 1
        return weights

    def plan(self, values: Sequence[int]) -> Plan:
        """Read the plan out of the columns' values."""
        on = {name for name, place in self.column.items() if values[place]}
        chosen = [each for each in self.candidates if ("x", each.code) in on]
        asked, _ = _wanted(chosen)
        done = tuple(code for code in asked if ("done", code) in on)
        needless = frozenset(asked) - frozenset(done)
        steps = {step for code in done for step in self.tariff.access.get(code, ())}
        return Plan(
            chosen=tuple(each.code for each in chosen),
            cured_by={
                finding: next(each.code for each in chosen if ("cure", finding, each.code) in on)
                for finding in self.findings
            },
            done=done,
            needless=tuple(code for code in asked if code in needless),
            steps=tuple(sorted(steps)),
            cost=cost_of(chosen, self.tariff, needless),
            penalty=sum(each.penalty for each in chosen),
            plain_sum=plain_sum(self.findings, self.candidates, self.tariff),
            proven=self.proven,
        )
