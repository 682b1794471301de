"""What the shop holds already: primary keys by code, rows by key, links by row."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from django.db import models

from workshop.catalogue.loading.kinds import KINDS, Kind, Links, manager_of
from workshop.catalogue.loading.rows import Key, Row

Joined = set[tuple[Any, ...]]
"""Rows of a joining table, as tuples of columns."""

REFERRED = frozenset(
    target
    for kind in KINDS.values()
    for refs in (kind.refs, *(links.refs for links in kind.links.values()))
    for target in refs.values()
)
"""Kinds that others point to; all of them have a code."""


class Shelf:
    """The shop's rows, read once a kind; ``learn`` adds those that were stored since."""

    def __init__(self) -> None:
        self._ids = {
            name: dict(manager_of(KINDS[name].model).values_list("code", "pk")) for name in REFERRED
        }

    def ids(self, kind: str) -> dict[str, int]:
        """Return the primary keys of a kind's rows by code."""
        return self._ids.get(kind, {})

    def learn(self, kind: str, code: str, pk: int) -> None:
        """Take in the primary key of a row that was just stored."""
        if kind in self._ids:
            self._ids[kind][code] = pk

    def attributes(self, row: Row) -> dict[str, Any]:
        """Return what the row's columns must hold, references as primary keys."""
        refs = KINDS[row.kind].refs
        ids = {
            f"{name}_id": self.ids(refs[name])[row.refs[name]] if name in row.refs else None
            for name in refs
        }
        return {**row.values, **ids}

    def rows(self, kind: Kind) -> dict[Key, models.Model]:
        """Return the shop's rows of a kind by key; of a versioned kind the latest version."""
        found = manager_of(kind.model).select_related(*kind.refs)
        ordered = found.order_by("version") if kind.versioned else found.order_by("pk")
        return {tuple(_key_part(row, name) for name in kind.key): row for row in ordered}

    def links(self, links: Links) -> dict[int, Joined]:
        """Return a joining table's rows, as tuples of columns, by the row they belong to."""
        columns = [f"{name}_id" for name in links.refs] + list(links.plain)
        found: dict[int, Joined] = defaultdict(set)
        table = manager_of(links.model).values_list(f"{links.parent}_id", *columns)
        for parent, *values in table:
            found[parent].add(tuple(values))
        return found

    def wanted_links(self, links: Links, row: Row, name: str) -> list[tuple[Any, ...]]:
        """Return what the joining table must hold for the row, as tuples of columns."""
        return [
            (
                *(self.ids(kind)[item[ref]] for ref, kind in links.refs.items()),
                *(item[each] for each in links.plain),
            )
            for item in row.links[name]
        ]

    def in_words(self, links: Links, values: Joined) -> str:
        """Return a set of links in words, sorted: codes, then what else each one says."""
        codes = [self._codes(kind) for kind in links.refs.values()]
        words = sorted(
            " ".join(
                str(codes[at][part] if at < len(codes) else part) for at, part in enumerate(each)
            )
            for each in values
        )
        return ", ".join(words) or "nothing else"

    def pair_in_words(
        self, kind: Kind, column: str, here: object, there: object
    ) -> tuple[object, object]:
        """Return two values of a column as people know them: codes instead of primary keys."""
        target = kind.refs.get(column.removesuffix("_id"))
        if target is None:
            return here, there
        codes = self._codes(target)
        return codes.get(here), codes.get(there)

    def _codes(self, kind: str) -> dict[object, str]:
        return {pk: code for code, pk in self.ids(kind).items()}


def _key_part(row: models.Model, name: str) -> object:
    value = getattr(row, name)
    return getattr(value, "code", value)
