"""Forms of stock: what comes and goes, counts, a part's facts, the shop's choice of method."""

from __future__ import annotations

import datetime as dt
import uuid
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.contrib.auth.base_user import AbstractBaseUser
from django.db import models
from django.utils import timezone
from django.utils.formats import date_format

from inventory.fields import MoneyField
from inventory.formfields import SENSIBLE_DAY, FigureField, PriceField
from inventory.parts.models import FitFacts, Part
from inventory.stock.models import (
    CostMethod,
    Grade,
    MovementKind,
    Reservation,
    StockMovement,
    plain,
)
from inventory.stock.selectors import draws_still_out
from inventory.stock.verbs.draw import draw
from inventory.stock.verbs.give_back import give_back
from inventory.stock.verbs.goods_in import goods_in
from inventory.stock.verbs.reserve import reserve
from inventory.stock.verbs.scrap import scrap
from inventory.stock.verbs.strip import strip

LONGEST = 120


def a_key() -> str:
    """Return a key for a form that is opened: sent twice, it books once."""
    return f"form:{uuid.uuid4()}"


def figures(field: models.Field[Any, Any], **kwargs: Any) -> forms.Field | None:
    """Return a model field's form field; numbers take a comma for the point."""
    if isinstance(field, models.DecimalField) and not isinstance(field, MoneyField):
        kwargs.setdefault("form_class", FigureField)
    return field.formfield(**kwargs)


class MoveForm(forms.Form):
    """What every movement of a part asks: how many; ``book`` hands it to the verb."""

    title: ClassVar[str]
    button: ClassVar[str]
    done: ClassVar[str]

    key = forms.CharField(widget=forms.HiddenInput, max_length=60, initial=a_key)
    quantity = FigureField(label="How many", min_value=Decimal("0.01"), decimal_places=2)

    def __init__(self, *args: Any, part: Part, sees_costs: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.part, self.sees_costs = part, sees_costs
        self.fields["quantity"].label = f"How many ({part.unit})"
        self.prepare()

    def prepare(self) -> None:
        """Fit the fields to the part and the person."""

    def book(self, by: AbstractBaseUser) -> object:
        """Book what was typed. Raises StockError where it can't be."""
        raise NotImplementedError

    def common(self, by: AbstractBaseUser) -> dict[str, Any]:
        """Return what every verb wants."""
        data = self.cleaned_data
        return {"quantity": data["quantity"], "key": data["key"], "by": by}


class GoodsInForm(MoveForm):
    """Goods that came in; who may not see costs books them at the part's."""

    title, button, done = "Goods in", "Book in", "Booked in"

    unit_cost = PriceField(label="Cost of one, net", fine=True, min_value=0)
    on = forms.DateField(
        label="Came on",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        validators=SENSIBLE_DAY,
    )
    reference = forms.CharField(label="Delivery note", max_length=LONGEST, required=False)

    def prepare(self) -> None:
        """Offer today and the part's cost."""
        self.fields["on"].initial = timezone.localdate
        self.fields["unit_cost"].initial = self.part.cost_net
        if not self.sees_costs:
            del self.fields["unit_cost"]

    def clean_on(self) -> dt.date:
        """Return the day, which does not lie ahead."""
        day: dt.date = self.cleaned_data["on"]
        if day > timezone.localdate():
            raise forms.ValidationError("This day lies ahead. Write the day the goods came.")
        return day

    def book(self, by: AbstractBaseUser) -> StockMovement:
        """Book them in: today's as of now, others as of the beginning of their day."""
        data = self.cleaned_data
        start = timezone.make_aware(dt.datetime.combine(data["on"], dt.time.min))
        return goods_in(
            self.part,
            unit_cost=data.get("unit_cost", self.part.cost_net),
            at=None if data["on"] == timezone.localdate() else start,
            reference=data["reference"],
            **self.common(by),
        )


class DrawForm(MoveForm):
    """Parts drawn for a job, out of what is reserved where there is something."""

    title, button, done = "Draw", "Draw", "Drawn"

    reservation = forms.ModelChoiceField(
        Reservation.objects.none(), label="Reserved", required=False, empty_label="not reserved"
    )
    reference = forms.CharField(
        label="For", max_length=LONGEST, required=False, help_text="The bike’s number or the job."
    )

    def prepare(self) -> None:
        """Offer what is reserved, if anything is."""
        rows = Reservation.objects.filter(part=self.part, left__gt=0)
        field = self.fields["reservation"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 - it is declared so above
        field.queryset = rows
        if not rows:
            del self.fields["reservation"]

    def book(self, by: AbstractBaseUser) -> StockMovement:
        """Draw them."""
        data = self.cleaned_data
        kept: Reservation | None = data.get("reservation")
        reference = data["reference"] or (kept.reference if kept else "")
        return draw(self.part, reference=reference, reservation=kept, **self.common(by))


class ReturnForm(MoveForm):
    """Parts that come back from a draw."""

    title, button, done = "Return", "Put back", "Put back"

    drawn = forms.ChoiceField(label="From the draw")

    def prepare(self) -> None:
        """Offer the draws of which something is still out."""
        self.draws = {str(each.pk): each for each, _ in draws_still_out(self.part)}
        field = self.fields["drawn"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - it is declared so above
        field.choices = [
            (str(each.pk), self.words(each, out)) for each, out in draws_still_out(self.part)
        ]

    def words(self, drawn: StockMovement, out: Decimal) -> str:
        """Return a draw as it is offered."""
        day = date_format(timezone.localtime(drawn.at), "j M Y")
        what = f" for {drawn.reference}" if drawn.reference else ""
        return f"{day}{what}: {plain(out)} still out"

    def book(self, by: AbstractBaseUser) -> StockMovement:
        """Put them back."""
        return give_back(self.draws[self.cleaned_data["drawn"]], **self.common(by))


class ScrapForm(MoveForm):
    """Parts that are of no use any more."""

    title, button, done = "Scrap", "Scrap", "Scrapped"

    reason = forms.CharField(label="Why", max_length=LONGEST, help_text="Broken, lost, too old …")

    def book(self, by: AbstractBaseUser) -> StockMovement:
        """Scrap them."""
        return scrap(self.part, reason=self.cleaned_data["reason"], **self.common(by))


class ReserveForm(MoveForm):
    """Parts set aside."""

    title, button, done = "Reserve", "Reserve", "Reserved"

    reference = forms.CharField(
        label="For", max_length=LONGEST, help_text="The bike’s number, the quote or the customer."
    )

    def book(self, by: AbstractBaseUser) -> Reservation:
        """Reserve them."""
        return reserve(self.part, reference=self.cleaned_data["reference"], **self.common(by))


class StripForm(MoveForm):
    """A used part off a donor bike."""

    title, button, done = "From a donor bike", "Take into stock", "Taken into stock"

    donor = forms.CharField(label="Stock number of the bike", max_length=LONGEST)
    grade = forms.ChoiceField(
        label="Grade", choices=Grade.choices, widget=forms.RadioSelect, initial=Grade.GOOD
    )
    cost_share = PriceField(
        label="Share of the bike’s cost, net",
        min_value=0,
        initial=Decimal(0),
        help_text="For all of them together.",
    )

    def prepare(self) -> None:
        """Leave the cost to who may see it."""
        if not self.sees_costs:
            del self.fields["cost_share"]

    def book(self, by: AbstractBaseUser) -> StockMovement:
        """Take them into stock."""
        data = self.cleaned_data
        share = data.get("cost_share", Decimal(0))
        return strip(
            self.part, grade=data["grade"], donor=data["donor"], cost_share=share, **self.common(by)
        )


MOVES: dict[str, type[MoveForm]] = {
    "goods-in": GoodsInForm,
    "draw": DrawForm,
    "return": ReturnForm,
    "reserve": ReserveForm,
    "scrap": ScrapForm,
    "strip": StripForm,
}


class ReverseForm(forms.Form):
    """Why a movement is taken back."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=60, initial=a_key)
    reason = forms.CharField(label="Why", max_length=LONGEST)


class StockFiguresForm(forms.ModelForm):  # type: ignore[type-arg] # not at run time
    """What stock needs to know of a part."""

    markup = FigureField(
        label="Mark-up on cost",
        required=False,
        min_value=0,
        max_value=9900,
        help_text="In per cent of the cost: 60 makes 16 of 10.",
    )

    class Meta:
        model = Part
        fields = ("place", "minimum", "pack_size", "gtin", "markup", "ending")
        formfield_callback = staticmethod(figures)

    def __init__(self, *args: Any, sees_costs: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.markup is not None:
            self.initial["markup"] = self.instance.markup * 100
        if not sees_costs:
            del self.fields["markup"]
            del self.fields["ending"]

    def clean_markup(self) -> Decimal | None:
        """Return the mark-up as a share."""
        percent: Decimal | None = self.cleaned_data["markup"]
        return None if percent is None else percent / 100


class FitForm(forms.ModelForm):  # type: ignore[type-arg] # not at run time
    """What decides which bikes a part fits."""

    class Meta:
        model = FitFacts
        exclude = ("part",)  # noqa: DJ006 - all facts, also those to come
        formfield_callback = staticmethod(figures)


class BikeFactsForm(forms.ModelForm):  # type: ignore[type-arg] # not at run time
    """The sizes of a bike, as far as they are known here: its number, or measured by hand."""

    number = forms.CharField(
        label="Bike’s stock number", required=False, max_length=12, help_text="Such as B0001."
    )

    class Meta:
        model = FitFacts
        exclude = ("part", "section_mm", "axle_end")  # noqa: DJ006 - all facts a bike can have
        formfield_callback = staticmethod(figures)

    def __init__(self, *args: Any, asked: FitFacts | None, **kwargs: Any) -> None:
        """Ask only what matters for the part."""
        super().__init__(*args, **kwargs)
        for name in list(self.fields):
            if name != "number" and getattr(asked, name, None) in (None, ""):
                del self.fields[name]
        self.order_fields(["number"])


class CountForm(forms.Form):
    """How many of a part were counted."""

    part = forms.ModelChoiceField(Part.objects.all(), widget=forms.HiddenInput)
    counted = FigureField(label="Counted", min_value=0, decimal_places=2, max_value=999_999)


class ReportForm(forms.Form):
    """For which day and for how long back."""

    day = forms.DateField(
        label="Worth at the end of",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        validators=SENSIBLE_DAY,
    )
    days = forms.IntegerField(label="Not drawn for days", min_value=1, max_value=3650)


class MethodForm(forms.Form):
    """How draws are costed."""

    method = forms.ChoiceField(
        label="Draws are costed by", choices=CostMethod.choices, widget=forms.RadioSelect
    )


UNDOABLE = frozenset(MovementKind) - {MovementKind.REVERSAL, MovementKind.REVALUATION}
