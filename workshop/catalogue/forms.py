"""What the forms of the catalogue share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain, count, groupby, pairwise
from typing import Any

from django import forms
from django.db import models
from django.db.models import Model, QuerySet
from django.utils.text import slugify

from inventory.fields import MoneyField
from inventory.formfields import FigureField, PriceField, use_currency
from workshop.bikes.models import Brake, Frame, Gears, Use
from workshop.shop.models import Shop

EQUIPMENT = (
    ("has_rack", "a rack"),
    ("has_mudguards", "mudguards"),
    ("has_lights", "lights"),
)
MOST_EXTRA_ROWS = 3
LONGEST_CODE = 60
LONG_LIST = 12


class ListField(forms.MultipleChoiceField):
    """Several of a few; none chosen means that it holds for all."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, choices: Iterable[tuple[str, str]], label: str, **kwargs: Any) -> None:
        kwargs.setdefault("help_text", "None ticked: all of them.")
        super().__init__(choices=list(choices), label=label, required=False, **kwargs)


def frames_field() -> ListField:
    """Return the field for the frames that something holds for."""
    return ListField(Frame.choices, "Only for frames")


def brakes_field() -> ListField:
    """Return the field for the brakes that something holds for."""
    return ListField(Brake.choices, "Only for bikes with")


def gears_field() -> ListField:
    """Return the field for the gears that something holds for."""
    return ListField(Gears.choices, "Only for gears")


def uses_field() -> ListField:
    """Return the field for the uses that something holds for."""
    return ListField(Use.choices, "Only for use")


def equipment_field() -> ListField:
    """Return the field for what a bike must carry for a checkpoint to apply."""
    return ListField(
        EQUIPMENT, "Only for bikes with", help_text="All ticked ones must be there. None: any bike."
    )


def take_figures(field: models.Field[Any, Any], **kwargs: Any) -> forms.Field | None:
    """Return a model field's form field; numbers take a comma, dates a calendar."""
    if isinstance(field, models.DateField):
        widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
        kwargs.setdefault("widget", widget)
    if isinstance(field, models.DecimalField) and not isinstance(field, MoneyField):
        kwargs.setdefault("form_class", FigureField)
    return field.formfield(**kwargs)


class Figures:
    """A base for ``Meta``: numbers and dates as people write them."""

    formfield_callback = staticmethod(take_figures)


class CatalogueForm(forms.ModelForm):  # type: ignore[type-arg] # not subscriptable at run time
    """A form of the catalogue: prices in the shop's currency, a code made from the name.

    Where the model has a ``code`` it is made once, from ``code_words``, and stays: other records,
    fixtures and quotes refer to it.
    """

    def __init__(
        self, *args: Any, shop: Shop, sees_costs: bool, costs: Iterable[str], **kwargs: Any
    ) -> None:
        """Leave out the costs where the person may not see them."""
        super().__init__(*args, **kwargs)
        use_currency(self, shop.currency, shop.locale)
        self.sign = shop.currency_sign
        for name in () if sees_costs else costs:
            self.fields.pop(name, None)
        for field in self.fields.values():
            if isinstance(field, forms.ChoiceField) and isinstance(field.widget, forms.RadioSelect):
                field.choices = [each for each in field.choices if each[0] != ""]  # type: ignore[index,misc,union-attr]

    def laid_out(self) -> Iterator[tuple[forms.BoundField, list[str] | None, str]]:
        """Yield the fields in order, a price's with the sign of the currency.

        For a long list of boxes there is also what is ticked in it, else None.
        """
        for bound in self.visible_fields():
            ticks = isinstance(bound.field.widget, forms.CheckboxSelectMultiple)
            options = list(bound.subwidgets) if ticks else []
            if len(options) <= LONG_LIST:
                yield bound, None, self.sign if isinstance(bound.field, PriceField) else ""
            else:
                ticked = [each.choice_label for each in options if each.data["selected"]]
                yield bound, ticked, ""

    def clean(self) -> dict[str, Any]:
        """Make the code of a new record."""
        super().clean()
        words = self.code_words()
        if self.instance._state.adding and words and hasattr(self.instance, "code"):  # noqa: SLF001
            self.instance.code = free_code(type(self.instance), words)
        return self.cleaned_data

    def code_words(self) -> str:
        """Return what a new record's code is made of; empty where that is not there yet."""
        checkpoint = self.cleaned_data.get("checkpoint")
        name = self.cleaned_data.get("name", "")
        return f"{checkpoint.code} {name}" if name and checkpoint else name

    def in_order(self, *names: str, words: str) -> None:
        """See that numbers do not fall from field to field; empty ones are passed over."""
        given = [(name, self.cleaned_data.get(name)) for name in names]
        numbers = [(name, value) for name, value in given if value is not None]
        for (_, before), (name, value) in pairwise(numbers):
            if value < before:
                self.add_error(name, words)


def free_code(model: type[models.Model], words: str, field: str = "code") -> str:
    """Return a code made from words that no other record of the model has."""
    longest: int = getattr(model._meta.get_field(field), "max_length", LONGEST_CODE)
    stem = slugify(words)[: longest - len("-999")] or "new"
    rows: QuerySet[models.Model] = QuerySet(model).filter(**{f"{field}__startswith": stem})
    taken = set(rows.values_list(field, flat=True))
    numbered = (f"{stem}-{number}" for number in count(2))
    return next(code for code in chain([stem], numbered) if code not in taken)


def grouped(rows: Iterable[Any], by: str) -> list[tuple[str, list[tuple[Any, str]]]]:
    """Return choices in groups, such as faults by their checkpoint; rows come sorted by it."""
    return [
        (str(head), [(each.pk, str(each)) for each in members])
        for head, members in groupby(rows, key=lambda each: getattr(each, by))
    ]


def share_choices(form: forms.BaseForm, name: str, choices: list[Any]) -> None:
    """Give a field choices that were read once, so that rows of a form read none of their own."""
    field = form.fields[name]
    if isinstance(field, forms.ModelChoiceField):
        field.choices = [("", "—"), *choices]


MOST_ROWS = 40
"""Rows of a record; a page with more of them, as a tampered form may ask for, is not made."""


class RowSet(forms.BaseInlineFormSet):  # type: ignore[type-arg] # not subscriptable at run time
    """Rows of a record with a few empty ones to fill in; choices are read once for all rows.

    ``sources`` names, for each relation, the rows to choose from. Where a field takes a part by
    its name, ``offers_parts`` says so.
    """

    heading = "Rows"
    offers_parts = False
    sources: dict[str, QuerySet[Model]] = {}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.shared = {
            name: [(each.pk, str(each)) for each in rows.all()]
            for name, rows in self.sources.items()
        }

    def add_fields(self, form: forms.ModelForm, index: int | None) -> None:  # type: ignore[type-arg] # not at run time
        """Give the row's relations the shared choices."""
        super().add_fields(form, index)
        for name, choices in self.shared.items():
            share_choices(form, name, choices)
        if "DELETE" in form.fields:
            form.fields["DELETE"].label = "take away"


def kept(rows: forms.BaseInlineFormSet) -> list[dict[str, Any]]:  # type: ignore[type-arg] # not at run time
    """Return the cleaned data of the rows that will be there after saving."""
    return [
        form.cleaned_data
        for form in rows.forms
        if hasattr(form, "cleaned_data")
        and form.cleaned_data
        and not form.cleaned_data.get("DELETE")
    ]
