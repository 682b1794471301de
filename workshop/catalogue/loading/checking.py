"""Checks across rows: everything named exists, nothing needs itself, no place is taken twice."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from graphlib import CycleError, TopologicalSorter

from workshop.catalogue.loading.kinds import KINDS
from workshop.catalogue.loading.problems import Problem
from workshop.catalogue.loading.rows import Row
from workshop.catalogue.loading.shelf import Shelf
from workshop.inspections.models import Checkpoint

CHAINS = (("access_step", "needs", "to_accessstep"), ("operation", "covers", "to_operation"))


def problems_across(rows: list[Row], shelf: Shelf) -> Iterator[Problem]:
    """Yield what is wrong between rows, or between rows and what the shop holds already."""
    yield from _unknown_codes(rows, shelf)
    yield from _foreign_refs(rows)
    yield from _loops(rows)
    yield from _orders(rows)


def _unknown_codes(rows: list[Row], shelf: Shelf) -> Iterator[Problem]:
    known = {(row.kind, row.key[0]) for row in rows}
    for row in rows:
        for field, kind, code in _named(row):
            if (kind, code) not in known and code not in shelf.ids(kind):
                message = f"names {code!r}, which is no {KINDS[kind].label}; correct or add it"
                yield Problem(row.place.at(field), message)


def _named(row: Row) -> Iterator[tuple[str, str, str]]:
    kind = KINDS[row.kind]
    for field, code in row.refs.items():
        yield field, kind.refs[field], code
    for field, items in row.links.items():
        for name, target in kind.links[field].refs.items():
            yield from ((field, target, item[name]) for item in items)


def _foreign_refs(rows: list[Row]) -> Iterator[Problem]:
    home = {
        (row.kind, row.key[0]): row.refs["checkpoint"]
        for row in rows
        if row.kind in {"measure", "fault"}
    }
    for row in rows:
        for field in ("measure", "minus", "fault") if row.kind == "rule" else ():
            target = (KINDS["rule"].refs[field], row.refs.get(field))
            if home.get(target, row.refs["checkpoint"]) != row.refs["checkpoint"]:
                message = f"{row.refs[field]!r} belongs to checkpoint {home[target]!r}"
                yield Problem(row.place.at(field), f"{message}; move the rule there")


def _loops(rows: list[Row]) -> Iterator[Problem]:
    for kind, field, target in CHAINS:
        mine = {row.key[0]: row for row in rows if row.kind == kind}
        graph = {code: {each[target] for each in row.links[field]} for code, row in mine.items()}
        try:
            TopologicalSorter(graph).prepare()
        except CycleError as error:
            circle = error.args[1]
            message = f"goes round in a circle: {' → '.join(reversed(circle))}; take one out"
            yield Problem(mine[circle[0]].place.at(field), message)


def _orders(rows: Iterable[Row]) -> Iterator[Problem]:
    checkpoints = [row for row in rows if row.kind == "checkpoint"]
    own = {row.key[0] for row in checkpoints}
    shop = Checkpoint.objects.values_list("order", "code")
    taken = {order: f"{code}, added by the shop" for order, code in shop if code not in own}
    for row in checkpoints:
        order = row.values["order"]
        if order in taken:
            message = f"{order} is taken by {taken[order]}; choose another"
            yield Problem(row.place.at("order"), message)
        taken[order] = row.key[0]
