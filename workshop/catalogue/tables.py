"""Lists of the catalogue, made from what a kind declares."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import Model, QuerySet
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.safestring import SafeString

from inventory.core.cells import Cell, Money, Share
from inventory.core.money import format_money
from inventory.lists import with_words
from workshop.catalogue.registry import Column, Kind, Shape
from workshop.shop.models import Shop
from workshop.shop.templatetags.ui import judgement_mark

RIGHT = {"td": {"class": "number"}, "th": {"class": "number"}}
MONEY = {"td": {"class": "money"}, "th": {"class": "money"}}
ALIGNED = {Shape.NUMBER: RIGHT, Shape.MONEY: MONEY, Shape.PERCENT: RIGHT}


class CatalogueTable(tables.Table):
    """A list whose columns come from a kind."""

    class Meta:
        template_name = "tables/lean.html"
        empty_text = "Nothing found"


class ShapedColumn(tables.Column):
    """A column that shows its value in the shape declared."""

    def __init__(self, column: Column, shop: Shop, **kwargs: Any) -> None:
        attrs = ALIGNED.get(column.shape, {})
        super().__init__(
            column.label,
            accessor=tables.A(column.name),
            orderable=column.sortable,
            attrs=attrs,
            **kwargs,
        )
        self.write = writers(shop)[column.shape]
        self.shape, self.currency = column.shape, shop.currency

    def render(self, value: Any) -> str | SafeString:  # noqa: ANN401 - whatever the model holds
        """Return the value as people read it."""
        return self.write(value)

    def value(self, value: Any) -> Cell | SafeString:  # noqa: ANN401 - as above
        """Return the value for a file."""
        match self.shape:
            case Shape.MONEY:
                return Money(value, self.currency)
            case Shape.PERCENT:
                return Share(value)
            case Shape.NUMBER | Shape.DATE:
                kept: Cell = value
                return kept
            case _:
                return self.write(value)


def writers(shop: Shop) -> dict[Shape, Callable[[Any], str | SafeString]]:
    """Return how each shape is written."""
    return {
        Shape.WORDS: str,
        Shape.NUMBER: figure,
        Shape.MONEY: lambda value: format_money(value, shop.currency, shop.locale),
        Shape.PERCENT: lambda value: f"{figure(value * 100)} %",
        Shape.YES_NO: lambda value: "yes" if value else "no",
        Shape.DATE: written_date,
        Shape.JUDGEMENT: lambda value: judgement_mark(str(value).replace(" ", "_")),
    }


def figure(value: Decimal | int) -> str:
    """Return a number without needless zeros."""
    return f"{value.normalize():f}" if isinstance(value, Decimal) else str(value)


def written_date(value: dt.date) -> str:
    """Return a day with its month in letters."""
    return date_format(value, "j M Y")


def columns_of(
    kind: Kind, shop: Shop, *, sees_costs: bool, may_edit: bool
) -> list[tuple[str, ShapedColumn]]:
    """Return the columns to show to a person; the first leads to the record's page."""
    shown = [each for each in kind.columns if sees_costs or each.name not in kind.costs]

    def link(record: Model) -> str:
        return reverse("catalogue:edit", args=(kind.slug, record.pk))

    return [
        (each.name, ShapedColumn(each, shop, linkify=link if may_edit and not place else None))
        for place, each in enumerate(shown)
    ]


def filters_of(kind: Kind) -> type[django_filters.FilterSet]:
    """Return the filters of a kind: one box for words, and what it narrows by."""

    def search(_self: object, rows: QuerySet[Model], _name: str, text: str) -> QuerySet[Model]:
        return with_words(rows, text, kind.search)

    box = django_filters.CharFilter(
        label="Search", method="search", widget=forms.TextInput(attrs={"type": "search"})
    )
    meta = type("Meta", (), {"model": kind.model, "fields": ("q", *kind.narrow)})
    made: type[django_filters.FilterSet] = type(
        f"{kind.model.__name__}Filter",
        (django_filters.FilterSet,),
        {"q": box, "search": search, "Meta": meta, "__doc__": f"Filters of {kind.many}."},
    )
    return made
