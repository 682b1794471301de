"""What was changed on a record, by whom and when, in words that people read."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Any

from django.db.models import Field, ForeignKey, Model, QuerySet
from django.utils.formats import date_format

from inventory.core.money import format_money
from inventory.fields import MoneyField
from workshop.shop.models import SHARE_LIMITS, Shop

KINDS = {"+": "entered", "~": "changed", "-": "deleted"}
SAVED_BY_PROGRAM = "the program"
Names = Mapping[str, Mapping[Any, str]]


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
    record: Model, shop: Shop, *, hide: Iterable[str] = (), most: int = 100
) -> tuple[Entry, ...]:
    """Return the entries of a record, newest first; saves that changed nothing are left out.

    ``hide`` names fields that the reader may not see. Runs one query, and one more for each
    relation that was changed.
    """
    rows = list(record.history.select_related("history_user")[: most + 1])  # type: ignore[attr-defined]
    fields = [each for each in tracked(rows) if each.name not in set(hide)]
    names = related_names(rows, fields)
    pairs = [*pairwise(rows), *([(rows[-1], None)] if 0 < len(rows) <= most else [])]
    entries = (entry(new, old, fields, names, shop) for new, old in pairs)
    return tuple(each for each in entries if each.changes or each.kind != KINDS["~"])


def tracked(rows: list[Any]) -> list[Field[Any, Any]]:
    """Return the fields that history keeps."""
    return list(rows[0].tracked_fields) if rows else []


def related_names(rows: list[Any], fields: list[Field[Any, Any]]) -> Names:
    """Return, for each relation that was changed, the names of what it pointed to."""
    names: dict[str, dict[Any, str]] = {}
    for field in fields:
        keys = {getattr(row, field.attname) for row in rows}
        if isinstance(field, ForeignKey) and len(keys) > 1:
            found: QuerySet[Model] = QuerySet(field.remote_field.model).filter(pk__in=keys - {None})
            names[field.name] = {each.pk: str(each) for each in found}
    return names


def entry(
    new: Any,  # noqa: ANN401 - a row of any historical model
    old: Any,  # noqa: ANN401 - the same
    fields: list[Field[Any, Any]],
    names: Names,
    shop: Shop,
) -> Entry:
    """Return what one save changed against the one before."""
    return Entry(
        new.history_date,
        str(new.history_user or SAVED_BY_PROGRAM),
        KINDS[new.history_type],
        tuple(changes(new, old, fields, names, shop)) if old is not None else (),
    )


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
        return "–"
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
