"""Figures as JSON and back, exactly: amounts as text, everything by its declared type."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from decimal import Decimal
from types import NoneType, UnionType
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

from quotes.charts.svg import Markup

Kept = TypeVar("Kept")


def kept(value: Any) -> Any:  # noqa: ANN401 - any figure
    """Return a value as JSON holds it."""
    if is_dataclass(value):
        return {each.name: kept(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, tuple):
        return [kept(each) for each in value]
    return str(value) if isinstance(value, (Decimal, Markup)) else value


def read_back(kind: type[Kept], data: Any) -> Kept:  # noqa: ANN401 - JSON
    """Return what was kept, of the kind it was; a figure not known then has its default."""
    return _read(kind, data)  # type: ignore[no-any-return]


def _read(kind: Any, data: Any) -> Any:  # noqa: ANN401 - types at run time
    if get_origin(kind) is UnionType:
        if data is None:
            return None
        return _read(next(each for each in get_args(kind) if each is not NoneType), data)
    if get_origin(kind) is tuple:
        first, *rest = get_args(kind)
        if rest == [...]:
            return tuple(_read(first, each) for each in data)
        return tuple(_read(one, each) for one, each in zip((first, *rest), data, strict=True))
    if is_dataclass(kind):
        hints = get_type_hints(kind)
        names = [each.name for each in fields(kind) if each.name in data]
        return kind(**{name: _read(hints[name], data[name]) for name in names})  # type: ignore[operator] # a class
    return kind(data) if kind in {Decimal, Markup} else data
