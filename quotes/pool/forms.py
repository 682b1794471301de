"""Forms of the pool: how it runs, an entry, taking one back."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from inventory.formfields import PriceField
from quotes.pool.models import EntryKind, PeriodLength, Pool
from workshop.bikes.models import Bike
from workshop.shop.models import Shop

DATE = {"type": "date"}


class PricesField(forms.Field):
    """One price, or several with one a line: the pieces of a lot. Gives a list.

    Each is read by ``price``, a field for one, to which the form's currency must be told.
    """

    widget = forms.Textarea

    def __init__(self, **kwargs: Any) -> None:
        self.price = PriceField()
        super().__init__(**kwargs)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """Give it two lines; a phone shows its whole keyboard, for the end of a line."""
        return {**super().widget_attrs(widget), "rows": 2, "autocomplete": "off"}

    def to_python(self, value: object) -> list[Decimal]:
        """Return the prices in their order.

        Raises:
            ValidationError: a line is not a price.
        """
        lines = [line.strip() for line in str(value or "").splitlines()]
        return [self.price.clean(line) for line in lines if line]


class EntryForm(forms.Form):
    """What came into the pool or went out of it."""

    kind = forms.ChoiceField(
        label="What happened", choices=EntryKind.choices, widget=forms.RadioSelect
    )
    date = forms.DateField(label="Date", widget=forms.DateInput(attrs=DATE, format="%Y-%m-%d"))
    prices = PricesField(
        label="Price",
        help_text=(
            "As paid, with nothing taken off; what leaves or is in stock stands at its purchase "
            "price. For a lot write the price of each piece, one a line."
        ),
    )
    stock_no = forms.CharField(
        label="Stock number of the bike",
        required=False,
        max_length=12,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
    )
    description = forms.CharField(label="What it is", max_length=170, required=False)

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        """Read prices in the shop's currency."""
        super().__init__(*args, **kwargs)
        field = self.fields["prices"]
        assert isinstance(field, PricesField)  # noqa: S101 - for the type
        field.price.currency, field.price.locale = shop.currency, shop.locale

    def clean_stock_no(self) -> Bike | None:
        """Return the bike of that stock number."""
        number: str = self.cleaned_data["stock_no"].strip()
        if not number:
            return None
        bike = Bike.objects.filter(stock_no__iexact=number).first()
        if bike is None:
            raise forms.ValidationError(f"There is no bike {number}. Look its number up.")
        return bike

    def clean(self) -> dict[str, Any]:
        """See that the article is named, by a bike or in words."""
        data = self.cleaned_data
        if "stock_no" in data and not data["stock_no"] and not data.get("description", "").strip():
            self.add_error("description", "Say what it is, or write a stock number above.")
        return data

    def values(self) -> dict[str, Any]:
        """Return what the verb takes."""
        data = self.cleaned_data
        return {
            "kind": EntryKind(data["kind"]),
            "day": data["date"],
            "prices": data["prices"],
            "bike": data["stock_no"],
            "description": data["description"].strip() or named(data["stock_no"]),
        }


def named(bike: Bike) -> str:
    """Return what a bike is called beside its stock number."""
    return f"{bike.make} {bike.model}".strip()


class ReverseForm(forms.Form):
    """Why an entry is taken back."""

    reason = forms.CharField(label="Why", max_length=120)


class PoolForm(forms.ModelForm):  # type: ignore[type-arg] # not subscriptable at run time
    """Since when the shop pools, and how its tax periods run."""

    months = forms.TypedChoiceField(
        label="A tax period is",
        choices=PeriodLength.choices,
        coerce=int,
        widget=forms.RadioSelect,
        initial=PeriodLength.QUARTER,
    )

    class Meta:
        model = Pool
        fields = ("joined_on", "months", "begins_in")
        widgets = {"joined_on": forms.DateInput(attrs=DATE, format="%Y-%m-%d")}
        help_texts = {
            "joined_on": "The first day of a tax period, as a rule.",
            "begins_in": "As your tax office has set them; for months and two months any will do.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Propose this year's first day."""
        super().__init__(*args, **kwargs)
        self.initial.setdefault("joined_on", timezone.localdate().replace(month=1, day=1))

    def _post_clean(self) -> None:
        """Leave checking the pool to its verb, which locks it."""
