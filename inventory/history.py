"""What was changed on a record, by whom and when, in words that people read."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Any, Protocol

from django.db.models import Field, ForeignKey, Model, QuerySet
from django.utils.formats import date_format

from inventory.core.money import format_money
from inventory.fields import SHARE_LIMITS, MoneyField

KINDS = {"+": "entered", "~": "changed", "-": "deleted"}
SAVED_BY_PROGRAM = "the program"
NOTHING = "–"
ONE_GO = dt.timedelta(seconds=1)
Names = Mapping[str, Mapping[Any, str]]
Links = Mapping[str, Mapping[Any, list[str]]]


class Shop(Protocol):
    """The shop, as far as money is written in its way."""

    currency: str
    locale: str


@dataclass(frozen=True, slots=True)
class Change:
    """One value that was changed."""

    label: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One time that a record was saved: ``kind`` is "entered", "changed" or "deleted"."""

    at: dt.datetime
    who: str
    kind: str
    changes: tuple[Change, ...] = ()


def history_of(
    record: Model,
    shop: Shop,
    *,
    hide: Iterable[str] = (),
    rows_of: Iterable[tuple[str, type[Model]]] = (),
    most: int = 100,
) -> tuple[Entry, ...]:
    """Return the entries of a record, newest first; saves that changed nothing are left out.

    ``hide`` names fields that the reader may not see. ``rows_of`` are models of rows that belong
    to the record, each with the name of its relation to it: what was added, changed and taken away
    there stands among the record's own entries. Runs one query a model, and one more for each
    relation, to one or to many.
    """
    entries = [*own_entries(record, shop, hide=hide, most=most)]
    if not rows_of:
        return tuple(entries)
    for relation, model in rows_of:
        entries += row_entries(model, relation, record, shop)
    return tuple(together(sorted(entries, key=lambda each: each.at, reverse=True)))


def own_entries(record: Model, shop: Shop, *, hide: Iterable[str], most: int) -> tuple[Entry, ...]:
    """Return the entries of the record itself."""
    rows = list(record.history.select_related("history_user")[: most + 1])  # type: ignore[attr-defined]
    whole = len(rows) <= most
    fields = [each for each in tracked(rows) if each.name not in set(hide)]
    names = related_names(rows, fields)
    if rows and rows[0]._history_m2m_fields:  # noqa: SLF001 - the library's only way to ask
        rows = settled(rows)
    links = links_of(rows)
    pairs = [*pairwise(rows), *([(rows[-1], None)] if rows and whole else [])]
    entries = (
        Entry(
            new.history_date,
            writer(new),
            KINDS[new.history_type],
            ()
            if old is None
            else (*changes(new, old, fields, names, shop), *link_changes(new, old, links)),
        )
        for new, old in pairs
    )
    return tuple(each for each in entries if each.changes or each.kind != KINDS["~"])


def settled(rows: list[Any]) -> list[Any]:
    """Return the last of the rows that one person saved in one go, for each go.

    Each link that is set on a record makes a row of its own.
    """
    kept: list[Any] = []
    for row in rows:
        last = kept[-1] if kept else None
        one_go = last is not None and last.history_date - row.history_date < ONE_GO
        if last is not None and one_go and writer(last) == writer(row):
            last.history_type = row.history_type if row.history_type == "+" else last.history_type
        else:
            kept.append(row)
    return kept


def links_of(rows: list[Any]) -> Links:
    """Return, for each link to many, the names linked to at each row by the row's key."""
    links: dict[str, dict[Any, list[str]]] = {}
    for field in rows[0]._history_m2m_fields if rows else ():  # noqa: SLF001 - as above
        target = field.m2m_reverse_field_name()
        kept = getattr(rows[0], field.name).model.objects.select_related(target)
        found: dict[Any, list[str]] = {row.history_id: [] for row in rows}
        for link in kept.filter(history_id__in=found):
            found[link.history_id].append(str(getattr(link, target)))
        links[str(field.verbose_name)] = found
    return links


def link_changes(new: Any, old: Any, links: Links) -> Iterator[Change]:  # noqa: ANN401 - rows
    """Yield the links to many that differ."""
    for label, found in links.items():
        before, after = sorted(found[old.history_id]), sorted(found[new.history_id])
        if before != after:
            yield Change(label, ", ".join(before) or NOTHING, ", ".join(after) or NOTHING)


def row_entries(model: type[Model], relation: str, record: Model, shop: Shop) -> list[Entry]:
    """Return the entries of rows that belong to a record."""
    manager = model.history  # type: ignore[attr-defined]
    kept = manager.filter(**{f"{relation}_id": record.pk}).select_related("history_user")
    rows = list(kept.order_by("history_date", "history_id"))
    fields = [each for each in tracked(rows) if each.name not in {relation, "id"}]
    names = related_names(rows, fields)
    label = str(model._meta.verbose_name)
    last: dict[Any, Any] = {}
    entries = []
    for row in rows:
        old = last.get(row.id)
        changed = row_changes(label, old, row, fields, names, shop)
        entries.append(Entry(row.history_date, writer(row), KINDS["~"], tuple(changed)))
        last[row.id] = row
    return [each for each in entries if each.changes]


def row_changes(
    label: str,
    old: Any,  # noqa: ANN401 - a row of any historical model
    new: Any,  # noqa: ANN401 - the same
    fields: list[Field[Any, Any]],
    names: Names,
    shop: Shop,
) -> list[Change]:
    """Return what was done to a row, as one change: it came, it went, or it reads otherwise."""

    def words(row: Model) -> str:
        values = (shown(each, getattr(row, each.attname), names, shop) for each in fields)
        return " · ".join(values)

    if KINDS[new.history_type] == "deleted":
        return [Change(label, words(new), NOTHING)]
    before = words(old) if old is not None else NOTHING
    return [Change(label, before, words(new))] if before != words(new) else []


def together(entries: Iterable[Entry]) -> Iterator[Entry]:
    """Yield entries with those that one person made in one go put together."""
    last: Entry | None = None
    for each in entries:
        if last and last.who == each.who and abs(last.at - each.at) < ONE_GO:
            kind = each.kind if last.kind == KINDS["~"] else last.kind
            last = Entry(last.at, last.who, kind, (*each.changes, *last.changes))
            continue
        if last:
            yield last
        last = each
    if last:
        yield last


def writer(row: Any) -> str:  # noqa: ANN401 - a row of any historical model
    """Return who saved, or that no person did."""
    return str(row.history_user or SAVED_BY_PROGRAM)


def tracked(rows: list[Any]) -> list[Field[Any, Any]]:
    """Return the fields that history keeps."""
    return list(rows[0].tracked_fields) if rows else []


def related_names(rows: list[Any], fields: list[Field[Any, Any]]) -> Names:
    """Return, for each relation, the names of what it pointed to."""
    names: dict[str, dict[Any, str]] = {}
    for field in fields:
        if not isinstance(field, ForeignKey):
            continue
        keys = {getattr(row, field.attname) for row in rows} - {None}
        if keys:
            found: QuerySet[Model] = QuerySet(field.remote_field.model).filter(pk__in=keys)
            names[field.name] = {each.pk: str(each) for each in found}
    return names


def changes(
    new: Model, old: Model, fields: list[Field[Any, Any]], names: Names, shop: Shop
) -> Iterator[Change]:
    """Yield the values that differ."""
    for field in fields:
        before, after = getattr(old, field.attname), getattr(new, field.attname)
        if before != after:
            yield Change(
                str(field.verbose_name),
                shown(field, before, names, shop),
                shown(field, after, names, shop),
            )


def shown(field: Field[Any, Any], value: object, names: Names, shop: Shop) -> str:
    """Return a value as people read it."""
    if value is None or value in ("", []):
        return NOTHING
    if isinstance(field, ForeignKey):
        return names.get(field.name, {}).get(value, "one that is gone")
    if field.choices:
        return str(dict(field.flatchoices).get(value, value))
    return plain(field, value, shop)


def plain(field: Field[Any, Any], value: object, shop: Shop) -> str:
    """Return a plain value as people read it."""
    match value:
        case bool():
            return "yes" if value else "no"
        case Decimal():
            return figure(field, value, shop)
        case dt.date():
            return date_format(value)
        case list():
            return ", ".join(map(str, value))
        case _:
            return str(value)


def figure(field: Field[Any, Any], value: Decimal, shop: Shop) -> str:
    """Return money in the shop's currency, a share in per cent, any other figure as it is."""
    if isinstance(field, MoneyField):
        return format_money(value, shop.currency, shop.locale)
    if all(limit in field.validators for limit in SHARE_LIMITS):
        return f"{(value * 100).normalize():f} %"
    return f"{value.normalize():f}"
