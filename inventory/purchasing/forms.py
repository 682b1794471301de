"""Forms of purchasing: what to order, drafts, goods in, ending an order, the shop's choices."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from inventory.core.reorder import z_of
from inventory.formfields import (
    SENSIBLE_DAY,
    FigureField,
    PercentField,
    PriceField,
    use_currency,
)
from inventory.purchasing.models import LEAST_SURE, MOST_PACKS, MOST_SURE, PurchasingSettings
from inventory.purchasing.selectors import LineRow, OrderPage
from inventory.purchasing.shortage import Group, Short
from inventory.purchasing.verbs.change_draft import LineChange
from inventory.purchasing.verbs.make_drafts import Pick
from inventory.purchasing.verbs.receive import Came, Note
from inventory.stock.forms import LONGEST, a_key
from inventory.stock.wants import Want, wants_of

RATE_PLACES = 6


def packs_field(name: str, least: int) -> forms.IntegerField:
    """Return a field for a number of packs."""
    return forms.IntegerField(
        label=f"Packs of {name}",
        min_value=least,
        max_value=MOST_PACKS,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )


def choices_in(data: Mapping[str, str]) -> dict[int, str]:
    """Return which offer was chosen for each part, as a form sent it."""
    names = (name for name in data if name.startswith("offer-"))
    return {
        int(name.removeprefix("offer-")): data[name]
        for name in names
        if name.removeprefix("offer-").isdecimal() and len(name) < len("offer-") + 18
    }


@dataclass(frozen=True, slots=True)
class ShortRow:
    """A part that is short with its fields of the form."""

    short: Short
    tick: forms.BoundField
    offer: forms.BoundField
    packs: forms.BoundField


class ShortForm(forms.Form):
    """What is to be ordered: a tick, an offer and packs for each part that is short."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=50, initial=a_key)

    def __init__(
        self, *args: Any, groups: Sequence[Group], sees_costs: bool, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.rows = {each.part.pk: each for group in groups for each in group.rows}
        for pk, row in self.rows.items():
            self.fields[f"tick-{pk}"] = forms.BooleanField(
                label=f"Order {row.part.name}",
                required=False,
                initial=bool(row.chosen and row.packs),
            )
            self.fields[f"offer-{pk}"] = forms.ChoiceField(
                label=f"{row.part.name} from",
                required=False,
                choices=_offered(row, sees_costs),
                initial=row.chosen.key if row.chosen else "",
            )
            field = packs_field(row.part.name, 0)
            field.required, field.initial = False, row.packs or 1
            self.fields[f"packs-{pk}"] = field

    def row(self, pk: int) -> ShortRow:
        """Return a part's fields."""
        return ShortRow(self.rows[pk], self[f"tick-{pk}"], self[f"offer-{pk}"], self[f"packs-{pk}"])

    def clean(self) -> dict[str, Any]:
        """See that what is ticked has a supplier and packs."""
        data: dict[str, Any] = super().clean() or {}
        for pk, row in self.rows.items():
            if not data.get(f"tick-{pk}"):
                continue
            if not data.get(f"offer-{pk}"):
                self.add_error(f"offer-{pk}", f"Choose who to buy {row.part.name} from.")
            if not data.get(f"packs-{pk}") and f"packs-{pk}" not in self.errors:
                self.add_error(f"packs-{pk}", f"Write how many packs of {row.part.name}.")
        return data

    def picks(self) -> list[Pick]:
        """Return what is ticked."""
        data = self.cleaned_data
        found = []
        for pk, row in self.rows.items():
            if data[f"tick-{pk}"]:
                offer = next(each for each in row.offers if each.key == data[f"offer-{pk}"])
                found.append(Pick(row.part, offer, data[f"packs-{pk}"]))
        return found


def _offered(row: Short, sees_costs: bool) -> list[tuple[str, str]]:  # noqa: FBT001 - two callers
    """Return the offers of a part to choose from; none is chosen where all are guesses."""
    offers = [(each.key, each.words(with_cost=sees_costs)) for each in row.offers]
    guess = not row.offers or row.offers[0].article is None
    return [("", "choose who sells it"), *offers] if guess else offers


@dataclass(frozen=True, slots=True)
class DraftRow:
    """A line of a draft with its fields of the form; no price for who may not see costs."""

    row: LineRow
    packs: forms.BoundField
    price: forms.BoundField | None


class DraftForm(forms.Form):
    """Packs and prices of a draft's lines, and a note to the supplier."""

    note = forms.CharField(
        label="Note to the supplier",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(
        self, *args: Any, page: OrderPage, sees_costs: bool, locale: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.page = page
        self.fields["note"].initial = page.order.note
        for row in page.rows:
            field = packs_field(row.line.name, 0)
            field.label, field.initial = "Packs", row.line.packs
            self.fields[f"packs-{row.line.pk}"] = field
            if sees_costs:
                self.fields[f"price-{row.line.pk}"] = PriceField(
                    label="Price of a pack, net" if row.line.pack > 1 else "Price of one, net",
                    fine=True,
                    min_value=0,
                    initial=row.line.pack_cost_net,
                )
        use_currency(self, page.order.currency, locale)

    def rows(self) -> Iterator[DraftRow]:
        """Yield the lines with their fields."""
        for row in self.page.rows:
            price = f"price-{row.line.pk}"
            bound = self[price] if price in self.fields else None
            yield DraftRow(row, self[f"packs-{row.line.pk}"], bound)

    def changes(self) -> list[LineChange]:
        """Return what the lines are to be."""
        data = self.cleaned_data
        return [
            LineChange(row.line, data[f"packs-{row.line.pk}"], data.get(f"price-{row.line.pk}"))
            for row in self.page.rows
        ]


class AddForm(forms.Form):
    """How many packs of an article are added to a draft."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=80, initial=a_key)
    article = forms.IntegerField(widget=forms.HiddenInput)
    packs = packs_field("it", 1)


@dataclass(frozen=True, slots=True)
class ReceiveRow:
    """A line of an order with its fields of the form, and who waits for its part."""

    row: LineRow
    quantity: forms.BoundField
    price: forms.BoundField | None
    waiting: Sequence[Want]


class ReceiveForm(forms.Form):
    """What came of an order; who may not see costs books it at the prices ordered."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=50, initial=a_key)
    came_on = forms.DateField(
        label="Came on",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        validators=SENSIBLE_DAY,
    )
    reference = forms.CharField(label="Delivery note", max_length=80, required=False)
    rate = FigureField(min_value=Decimal("0.000001"), decimal_places=RATE_PLACES)
    over_reason = forms.CharField(
        label="If more came than was ordered, why it is kept", max_length=LONGEST, required=False
    )

    def __init__(
        self,
        *args: Any,
        page: OrderPage,
        sees_costs: bool,
        currency: str,
        locale: str,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.page, order = page, page.order
        self.fields["came_on"].initial = timezone.localdate
        self.fields["rate"].label = f"One {order.currency} is how many {currency}"
        if order.currency == currency:
            del self.fields["rate"]
        for row in self.shown():
            self.fields[f"came-{row.line.pk}"] = FigureField(
                label=f"Came ({row.line.part.unit})",
                required=False,
                min_value=0,
                decimal_places=2,
                initial=row.to_come,
            )
            if sees_costs:
                self.fields[f"price-{row.line.pk}"] = PriceField(
                    label=f"Price of a pack of {row.line.pack}, net"
                    if row.line.pack > 1
                    else "Price of one, net",
                    fine=True,
                    min_value=0,
                    initial=row.line.pack_cost_net,
                )
        use_currency(self, order.currency, locale)

    def shown(self) -> list[LineRow]:
        """Return the lines of which something is still to come; all where nothing is."""
        return [row for row in self.page.rows if row.to_come] or list(self.page.rows)

    def rows(self) -> Iterator[ReceiveRow]:
        """Yield the lines with their fields, and who waits for what comes in."""
        shown = self.shown()
        wants = wants_of(row.line.part_id for row in shown)
        for row in shown:
            price = f"price-{row.line.pk}"
            bound = self[price] if price in self.fields else None
            waiting = wants[row.line.part_id]
            yield ReceiveRow(row, self[f"came-{row.line.pk}"], bound, waiting)

    def clean_came_on(self) -> dt.date:
        """Return the day, which does not lie ahead."""
        day: dt.date = self.cleaned_data["came_on"]
        if day > timezone.localdate():
            raise forms.ValidationError("This day lies ahead. Write the day the goods came.")
        return day

    def came(self) -> list[Came]:
        """Return what came; lines of which nothing did are left out."""
        data = self.cleaned_data
        return [
            Came(row.line, quantity, data.get(f"price-{row.line.pk}"))
            for row in self.shown()
            if (quantity := data[f"came-{row.line.pk}"])
        ]

    def delivery(self) -> Note:
        """Return what came with the goods."""
        data = self.cleaned_data
        rate = data.get("rate") or Decimal(1)
        return Note(data["came_on"], data["reference"], rate, data["over_reason"])


class EndForm(forms.Form):
    """Why nothing more comes of an order."""

    reason = forms.CharField(
        label="Why", max_length=LONGEST, help_text="Out of stock, ordered twice, too late …"
    )


class SettingsForm(forms.ModelForm):  # type: ignore[type-arg] # not at run time
    """The shop's choices for ordering."""

    service_level = PercentField(
        label="Service level",
        help_text="Of a hundred orders, during how many nothing runs out before the goods come.",
    )

    class Meta:
        model = PurchasingSettings
        fields = ("service_level", "usage_days", "look_every")
        labels = {"usage_days": "Usage of the last", "look_every": "Somebody looks every"}

    def clean_service_level(self) -> Decimal:
        """Return the level where a reorder point can reach it."""
        level: Decimal = self.cleaned_data["service_level"]
        if not LEAST_SURE <= level <= MOST_SURE:
            raise forms.ValidationError("Write per cent from 50 to 99.9.")
        return level


def z_words(level: Decimal) -> str:
    """Return the standard normal quantile of a service level, to four decimals."""
    return f"{z_of(float(level)):.4f}"
