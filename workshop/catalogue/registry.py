"""The kinds of thing the catalogue holds; each is one small file and one line of registration."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import Any

from django import forms
from django.db.models import Model, QuerySet

from inventory.history import Entry, history_of
from workshop.shop.models import Shop


class Group(Enum):
    """What a kind is for; the catalogue's first page is laid out by this."""

    MONEY = "What work and parts cost"
    WORK = "How faults are put right"
    WALK = "What the walk asks and how it judges"
    PAPER = "What is printed"


class Shape(Enum):
    """How a value stands in a list."""

    WORDS = "words"
    NUMBER = "number"
    MONEY = "money"
    PERCENT = "percent"
    YES_NO = "yes or no"
    DATE = "date"
    JUDGEMENT = "judgement"


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a list: the attribute it shows (``checkpoint__name``), its head, its shape."""

    name: str
    label: str
    shape: Shape = Shape.WORDS
    sortable: bool = True


def always(_record: Any, _today: dt.date) -> str:  # noqa: ANN401 - a record of any kind
    """Let every record be changed."""
    return ""


def save_form(form: forms.ModelForm, formsets: Sequence[forms.BaseInlineFormSet]) -> Model:  # type: ignore[type-arg] # not subscriptable at run time
    """Save a form with its rows."""
    saved: Model = form.save()
    for rows in formsets:
        rows.instance = saved
        rows.save()
    return saved


def no_check(_form: Any, _formsets: Any) -> None:  # noqa: ANN401 - forms of any kind
    """See nothing that concerns form and rows together."""


def own_history(record: Model, shop: Shop, hide: Sequence[str]) -> tuple[Entry, ...]:
    """Return what was changed on the record itself."""
    return history_of(record, shop, hide=hide)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of thing in the catalogue, with everything its pages need.

    ``how`` explains in plain words how to change one. ``rows`` gives the list with its
    relations. ``search`` and ``narrow`` are fields that the list is searched and filtered by.
    ``costs`` are columns and fields only shown to those who may see the shop's costs.
    ``closed`` answers why a record may not be changed (any more), with what to do instead;
    ``check`` sees to what concerns the form and its rows together.
    """

    slug: str
    one: str
    many: str
    group: Group
    how: str
    model: type[Model]
    rows: Callable[[], QuerySet[Any]]
    form: type[forms.ModelForm]  # type: ignore[type-arg] # not subscriptable at run time
    columns: tuple[Column, ...]
    search: tuple[str, ...]
    narrow: tuple[str, ...] = ()
    costs: tuple[str, ...] = ()
    formsets: tuple[type[forms.BaseInlineFormSet], ...] = ()  # type: ignore[type-arg] # not at run time
    check: Callable[[Any, Any], None] = no_check
    save: Callable[[Any, Any], Model] = save_form
    closed: Callable[[Any, dt.date], str] = always
    history: Callable[[Any, Shop, Sequence[str]], tuple[Entry, ...]] = own_history
    retire: Callable[[Any], None] | None = None
    order: int = field(default=50)


_kinds: dict[str, Kind] = {}


def register(kind: Kind) -> None:
    """Add a kind; called by the rooms when the site starts."""
    _kinds[kind.slug] = kind


def kind_named(slug: str) -> Kind | None:
    """Return the kind of a URL, or None where there is none of that name."""
    return _kinds.get(slug)


def all_kinds() -> tuple[Kind, ...]:
    """Return every kind, in the order of the catalogue's first page."""
    groups = list(Group)
    return tuple(
        sorted(_kinds.values(), key=lambda kind: (groups.index(kind.group), kind.order, kind.slug))
    )
