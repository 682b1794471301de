"""From entries to rows: every value cleaned by its model's own field."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models.fields import NOT_PROVIDED

from workshop.catalogue.loading.entries import Data, Entry
from workshop.catalogue.loading.kinds import ALLOWED, KINDS, Kind, Links
from workshop.catalogue.loading.problems import Place, Problem
from workshop.catalogue.loading.short_forms import written_out

Key = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """A row ready to be stored: values cleaned, references and links still by code."""

    kind: str
    key: Key
    values: Mapping[str, Any]
    refs: Mapping[str, str]
    links: Mapping[str, tuple[Data, ...]]
    place: Place


def rows_of(entries: Iterable[Entry], problems: list[Problem]) -> list[Row]:
    """Return the entries as rows; what is wrong with them is added to ``problems``."""
    rows: dict[tuple[str, Key], Row] = {}
    for entry in entries:
        before = len(problems)
        row = _row(entry, problems)
        if len(problems) > before:
            continue
        twin = rows.setdefault((row.kind, row.key), row)
        if twin is not row:
            message = f"stands in {twin.place.file} already; take one of the two out"
            problems.append(Problem(row.place, message))
    return list(rows.values())


def _row(entry: Entry, problems: list[Problem]) -> Row:
    kind = KINDS[entry.kind]
    data = written_out(entry, problems)
    known = {*kind.plain, *kind.refs, *kind.links}
    message = f"is not known; known are {', '.join(sorted(known))}"
    problems.extend(Problem(entry.place.at(name), message) for name in data.keys() - known)
    values = {name: _value(kind, name, data, entry.place, problems) for name in kind.plain}
    refs = {
        name: code for name in kind.refs if (code := _ref(kind, name, data, entry.place, problems))
    }
    links = {
        name: _links(links, data.get(name, []), entry.place.at(name), problems)
        for name, links in kind.links.items()
    }
    key = tuple(refs.get(name, values.get(name)) for name in kind.key)
    return Row(entry.kind, key, values, refs, links, entry.place)


def _value(kind: Kind, name: str, data: Data, place: Place, problems: list[Problem]) -> object:
    field = _field(kind.model, name)
    if name not in data:
        if field.default is NOT_PROVIDED and not field.blank and not field.null:
            problems.append(Problem(place.at(name), "is missing; write it"))
            return None
        return field.get_default()
    return clean(field, data[name], place.at(name), problems)


def clean(
    field: models.Field[Any, Any], raw: object, place: Place, problems: list[Problem]
) -> object:
    """Return a value as the field holds it; what the field refuses is added to ``problems``."""
    value = " ".join(raw.split()) if isinstance(raw, str) else raw
    text = isinstance(field, models.CharField | models.TextField)
    if text and not isinstance(value, str):
        problems.append(Problem(place, f"must be text, not {raw!r}; put it in quotes"))
        return None
    if isinstance(field, models.JSONField):
        return _condition(field.name, value, place, problems)
    try:
        return field.clean(value, None)
    except ValidationError as error:
        problems.append(Problem(place, f"{' '.join(error.messages)} It says {raw!r}."))
        return None


def _condition(name: str, value: object, place: Place, problems: list[Problem]) -> object:
    allowed = ALLOWED[name]
    if not isinstance(value, list) or not all(each in allowed for each in value):
        message = f"must be a list of {', '.join(allowed)}; it says {value!r}"
        problems.append(Problem(place, message))
    return value


def _ref(kind: Kind, name: str, data: Data, place: Place, problems: list[Problem]) -> str:
    found = data.get(name, "")
    code = found if isinstance(found, str) else ""
    if code != found:
        problems.append(Problem(place.at(name), f"must be a code in quotes, not {found!r}"))
        return ""
    if not code and not _field(kind.model, name).null:
        message = f"is missing; write the code of a {kind.refs[name]}"
        problems.append(Problem(place.at(name), message))
    return code


def _field(model: type[models.Model], name: str) -> models.Field[Any, Any]:
    field = model._meta.get_field(name)
    assert isinstance(field, models.Field)  # noqa: S101 - kinds name no reverse relations
    return field


def _links(links: Links, found: object, place: Place, problems: list[Problem]) -> tuple[Data, ...]:
    if not isinstance(found, list):
        problems.append(Problem(place, "must be a list in square brackets"))
        return ()
    items = [item if isinstance(item, dict) else {links.main: item} for item in found]
    result = [_link(links, item, place, problems) for item in items]
    identities = [tuple(link.get(name) for name in links.refs) for link in result]
    for twice in {each for each in identities if identities.count(each) > 1}:
        message = f"names {' '.join(map(str, twice))!r} twice; take one out"
        problems.append(Problem(place, message))
    return tuple(result)


def _link(links: Links, item: Data, place: Place, problems: list[Problem]) -> Data:
    unknown = item.keys() - set(links.columns)
    problems.extend(Problem(place, f"{name!r} is not known in it") for name in unknown)
    result: Data = {}
    for name in links.refs:
        if not isinstance(item.get(name), str):
            problems.append(Problem(place, f"must name a {links.refs[name]} by its code"))
        result[name] = item.get(name)
    for name in links.plain:
        field = _field(links.model, name)
        result[name] = (
            clean(field, item[name], place, problems) if name in item else field.get_default()
        )
    return result
