"""Jobs, price books and catalogues made up for the tests of pricing."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import networkx as nx
from hypothesis import strategies as st

from quotes.core.lines import (
    BandRate,
    Change,
    HandLine,
    Job,
    OperationUse,
    PartUse,
    PriceBook,
    SundryRule,
)
from workshop.core.access import AccessStep, Operation
from workshop.core.judgement import Importance

MUST, SHOULD, COULD = Importance
RATES = {"standard": Decimal("0.2"), "reduced": Decimal("0.05"), "zero": Decimal(0)}
BANDS = {
    "bench": BandRate(Decimal(48), Decimal(20)),
    "wheels": BandRate(Decimal("57.35"), Decimal("27.10")),
}


def step(code, minutes="5", needs=(), band="bench"):
    return AccessStep(code, f"step {code}", Decimal(minutes), band, frozenset(needs))


def operation(code, minutes="10", access=(), covers=(), band="bench"):
    name = f"work {code}"
    return Operation(code, name, Decimal(minutes), band, frozenset(access), frozenset(covers))


def part(code, fitted_by, quantity="1", price="10", cost="4", vat_code="standard"):
    return PartUse(
        code=code,
        name=f"part {code}",
        unit="pc",
        quantity=Decimal(quantity),
        price_net=Decimal(price),
        cost_net=Decimal(cost),
        vat_code=vat_code,
        operation=fitted_by,
    )


def job(finding, *work, importance=SHOULD, parts=(), remedy="remedy"):
    """A job whose work is operations, or pairs of an operation and how many times."""
    uses = [each if isinstance(each, tuple) else (each, 1) for each in work]
    operations = tuple(OperationUse(each, times) for each, times in uses)
    return Job(finding, importance, remedy if work or parts else None, operations, tuple(parts))


def book(*steps, share="0", least="0", most=None, **fields):
    rule = SundryRule(Decimal(share), Decimal(least), None if most is None else Decimal(most))
    fields.setdefault("currency", "GBP")
    return PriceBook(
        labour=fields.pop("labour", BANDS),
        vat_rates=fields.pop("vat_rates", RATES),
        steps={each.code: each for each in steps},
        sundries=rule,
        **fields,
    )


def by_hand(key, price="10", findings=(), quantity="1", cost="0", importance=SHOULD):
    return HandLine(
        key=f"hand:{key}",
        description=f"by hand {key}",
        quantity=Decimal(quantity),
        unit="pc",
        unit_price_net=Decimal(price),
        vat_code="standard",
        importance=importance,
        reason="as agreed",
        findings=tuple(findings),
        cost_net=Decimal(cost),
    )


def lines_by_key(pricing):
    return {line.key: line for line in pricing.lines}


STEP_CODES = ("s1", "s2", "s3", "s4", "s5")
OPERATION_CODES = ("o1", "o2", "o3", "o4", "o5", "o6")
MINUTES = st.decimals(0, 90, places=1)
PRICES = st.decimals(0, 300, places=2)


@dataclass(frozen=True)
class Case:
    """Jobs to be priced with a book, changes and lines by hand."""

    jobs: tuple[Job, ...]
    book: PriceBook
    changes: dict[str, Change]
    hand_lines: tuple[HandLine, ...]

    @property
    def chosen(self):
        """Every operation that a job asks for, by code."""
        return {use.operation.code: use.operation for each in self.jobs for use in each.operations}

    @property
    def kept(self):
        """The codes of the operations that no other chosen one covers, by a graph library."""
        chosen = self.chosen
        graph = nx.DiGraph()
        graph.add_nodes_from(chosen)
        graph.add_edges_from(
            (code, other) for code, each in chosen.items() for other in each.covers & chosen.keys()
        )
        return {code for code in chosen if not nx.ancestors(graph, code)}

    @property
    def steps_needed(self):
        """The codes of all steps that a kept operation needs, by a graph library."""
        graph = nx.DiGraph()
        graph.add_nodes_from(self.book.steps)
        graph.add_edges_from(
            (code, need) for code, each in self.book.steps.items() for need in each.needs
        )
        needed = set()
        for code in self.kept:
            for access in self.chosen[code].access:
                needed |= {access} | nx.descendants(graph, access)
        return needed


@st.composite
def step_books(draw):
    return [
        step(
            code,
            draw(MINUTES),
            draw(st.sets(st.sampled_from(STEP_CODES[:index]), max_size=2)) if index else (),
            draw(st.sampled_from(sorted(BANDS))),
        )
        for index, code in enumerate(STEP_CODES)
    ]


@st.composite
def operations(draw, *, covering):
    """Operations that cover only later ones, so that none cover each other."""
    return [
        operation(
            code,
            draw(MINUTES),
            draw(st.sets(st.sampled_from(STEP_CODES), max_size=2)),
            draw(st.sets(st.sampled_from(OPERATION_CODES[index + 1 :]), max_size=2))
            if covering and OPERATION_CODES[index + 1 :]
            else (),
            draw(st.sampled_from(sorted(BANDS))),
        )
        for index, code in enumerate(OPERATION_CODES)
    ]


@st.composite
def jobs_of(draw, pool):
    """Up to six jobs; a part has one price wherever it is asked for."""
    prices = {
        code: (draw(PRICES), draw(PRICES), draw(st.sampled_from(sorted(RATES)))) for code in "pq"
    }
    quantities = st.decimals("0.01", 9, places=2)
    jobs = []
    for finding in range(draw(st.integers(0, 6))):
        chosen = draw(st.lists(st.sampled_from(pool), max_size=3, unique_by=lambda o: o.code))
        work = [(each, draw(st.integers(1, 3))) for each in chosen]
        parts = [
            part(code, each.code, draw(quantities), *prices[code])
            for each in chosen
            for code in draw(st.sampled_from(["", "p", "q"]))
        ]
        importance = draw(st.sampled_from(Importance))
        jobs.append(job(str(finding), *work, importance=importance, parts=parts))
    return tuple(jobs)


CHANGES = st.builds(
    Change,
    quantity=st.none() | st.decimals(0, 100, places=2),
    unit_price_net=st.none() | PRICES,
    leave_out=st.booleans(),
    reason=st.just("by hand"),
)
KEYS = st.sampled_from(
    [f"labour:{code}" for code in OPERATION_CODES]
    + [f"access:{code}" for code in STEP_CODES]
    + [f"part:{code}:p" for code in OPERATION_CODES]
    + [f"sundry:{each.value}" for each in Importance]
)


@st.composite
def cases(draw, *, covering=True, changed=True, shares=True):
    """Anything a shop might have to price."""
    jobs = draw(jobs_of(draw(operations(covering=covering))))
    findings = st.sampled_from([each.finding for each in jobs] or ["none"])
    hand_lines = [
        by_hand(number, draw(st.decimals(-50, 50, places=2)), draw(st.sets(findings, max_size=2)))
        for number in range(draw(st.integers(0, 2)) if changed else 0)
    ]
    return Case(
        jobs,
        book(
            *draw(step_books()),
            share=draw(st.decimals(0, "0.2", places=3)) if shares else "0",
            least=draw(st.decimals(0, 5, places=2)) if shares else "0",
            most=draw(st.none() | st.decimals(0, 20, places=2)) if shares else None,
            currency=draw(st.sampled_from(["GBP", "EUR", "JPY"])),
            registered=draw(st.booleans()),
        ),
        draw(st.dictionaries(KEYS, CHANGES, max_size=4)) if changed else {},
        tuple(hand_lines),
    )
