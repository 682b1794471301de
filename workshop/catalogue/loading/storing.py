"""Storing rows: missing ones are added in bulk, differing ones are kept or taken over."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction
from django.db.models import CheckConstraint, F
from django.utils import timezone
from simple_history.utils import bulk_create_with_history

from workshop.catalogue.loading.kinds import KINDS, Kind, Links, manager_of
from workshop.catalogue.loading.problems import CatalogueError, Problem
from workshop.catalogue.loading.report import Difference, Report
from workshop.catalogue.loading.rows import Row
from workshop.catalogue.loading.shelf import Joined, Shelf
from workshop.inspections.models import Checkpoint

REASON = "catalogue loaded"
OUT_OF_THE_WAY = 10_000
"""Added to the order of checkpoints while they change places."""


@dataclass(frozen=True, slots=True)
class Pending:
    """A row of the files with the object that holds it, or will."""

    row: Row
    stored: Any  # a model of any kind; its fields are known by name only


def store(name: str, rows: list[Row], shelf: Shelf, report: Report, *, overwrite: bool) -> None:
    """Store the rows of one kind; must run within a transaction.

    Raises ``CatalogueError`` where the database refuses a row.
    """
    kind = KINDS[name]
    held = shelf.rows(kind)
    known = [Pending(row, held[row.key]) for row in rows if row.key in held]
    differing = list(differences(name, known, shelf))
    report.unchanged[name] += len(known) - len(differing)
    (report.changed if overwrite else report.kept).extend(each for _, each in differing)
    if overwrite:
        _take_over(kind, [pending for pending, _ in differing], shelf)
    new = [Pending(row, kind.model(**shelf.attributes(row))) for row in rows if row.key not in held]
    _create(kind, new)
    for pending in new:
        shelf.learn(name, str(pending.row.key[0]), pending.stored.pk)
    report.added[name] += len(new)
    _link(kind, new, shelf)
    if overwrite:
        _link(kind, [pending for pending, _ in differing], shelf)


def differences(
    name: str, known: list[Pending], shelf: Shelf
) -> Iterator[tuple[Pending, Difference]]:
    """Yield the rows that the shop holds otherwise than the files."""
    kind = KINDS[name]
    linked = {field: shelf.links(links) for field, links in kind.links.items()} if known else {}
    for pending in known:
        fields = dict(_differing_columns(kind, pending, shelf))
        for field, links in kind.links.items():
            here = linked[field].get(pending.stored.pk, set())
            there = set(shelf.wanted_links(links, pending.row, field))
            if here != there:
                fields[field] = _only_in_each(links, here, there, shelf)
        if fields:
            key = " ".join(map(str, pending.row.key))
            yield pending, Difference(name, key, fields)


def _only_in_each(links: Links, here: Joined, there: Joined, shelf: Shelf) -> tuple[object, object]:
    """Return what only the shop has and what only the file has, in words."""
    return shelf.in_words(links, here - there), shelf.in_words(links, there - here)


def _differing_columns(
    kind: Kind, pending: Pending, shelf: Shelf
) -> Iterator[tuple[str, tuple[object, object]]]:
    if kind.versioned and pending.stored.superseded_at is not None:
        yield "in force", ("no", "yes")
    for column, there in shelf.attributes(pending.row).items():
        here = getattr(pending.stored, column)
        if here != there:
            yield column.removesuffix("_id"), shelf.pair_in_words(kind, column, here, there)


def _take_over(kind: Kind, differing: list[Pending], shelf: Shelf) -> None:
    if kind.model is Checkpoint:
        moved = manager_of(kind.model).filter(pk__in=[each.stored.pk for each in differing])
        moved.update(order=F("order") + OUT_OF_THE_WAY)
    for pending in differing:
        stored = _next_version(pending) if kind.versioned else pending.stored
        for column, value in shelf.attributes(pending.row).items():
            setattr(stored, column, value)
        _save(kind, [Pending(pending.row, stored)], partial(_save_with_reason, stored))


def _next_version(pending: Pending) -> Any:  # noqa: ANN401 - see Pending
    old = pending.stored
    if old.superseded_at is None:
        old.superseded_at = timezone.now()
        _save_with_reason(old)
    return type(old)(version=old.version + 1)


def _save_with_reason(stored: Any) -> None:  # noqa: ANN401 - see Pending
    stored._change_reason = REASON  # noqa: SLF001 - simple-history reads it from there
    stored.save()


def _create(kind: Kind, new: list[Pending]) -> None:
    objects = [pending.stored for pending in new]

    def create() -> None:
        if hasattr(kind.model, "history"):
            bulk_create_with_history(objects, kind.model, default_change_reason=REASON)
        else:
            manager_of(kind.model).bulk_create(objects)

    if new:
        _save(kind, new, create)


def _save(kind: Kind, pending: list[Pending], save: Callable[[], None]) -> None:
    """Run ``save``; where the database refuses, say which row breaks which limit."""
    try:
        with transaction.atomic():
            save()
    except IntegrityError as error:
        problems = list(_broken_limits(kind, pending))
        raise CatalogueError(problems or [Problem(pending[0].row.place, str(error))]) from error


def _broken_limits(kind: Kind, pending: Iterable[Pending]) -> Iterator[Problem]:
    limits = [each for each in kind.model._meta.constraints if isinstance(each, CheckConstraint)]
    for each in pending:
        for limit in limits:
            try:
                limit.validate(kind.model, each.stored)
            except ValidationError:
                words = limit.name.replace("_", " ")
                message = f"breaks a limit of the database ({words}); correct the figures"
                yield Problem(each.row.place, message)


def _link(kind: Kind, pendings: list[Pending], shelf: Shelf) -> None:
    """Make the joining tables hold what the rows say, and nothing else of theirs."""
    for field, links in kind.links.items():
        manager = manager_of(links.model)
        columns = [*(f"{name}_id" for name in links.refs), *links.plain]
        owners = [pending.stored.pk for pending in pendings]
        manager.filter(**{f"{links.parent}__in": owners}).delete()
        rows: list[models.Model] = [
            links.model(
                **{f"{links.parent}_id": pending.stored.pk},
                **dict(zip(columns, values, strict=True)),
            )
            for pending in pendings
            for values in shelf.wanted_links(links, pending.row, field)
        ]
        manager.bulk_create(rows)
