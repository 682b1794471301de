"""Forms of a draft: what is chosen for a finding, a line, the details, the sending."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.formfields import PriceField, use_currency
from inventory.parts.models import VatCode
from quotes.quoting.formats import QuantityField
from quotes.quoting.models import Line, LineChange, QuotedFinding, Revision
from quotes.quoting.selectors.ways import BY_HAND, NO_WORK
from quotes.quoting.verbs.set_details import DetailsError, refuse_date
from workshop.core.judgement import Importance
from workshop.inspections.models.asked import IMPORTANCES
from workshop.shop.models import Shop

REASON_HELP = "Kept with your name."


class ChooseForm(forms.Form):
    """What is to be done about a finding, and how long it may wait."""

    way = forms.ChoiceField(label="What to do", widget=forms.RadioSelect)
    no_work_reason = forms.CharField(
        label="Why no work is offered",
        max_length=300,
        required=False,
        help_text="Only where no work is offered. The customer reads it.",
    )
    importance = forms.ChoiceField(
        label="Importance", choices=IMPORTANCES, widget=forms.RadioSelect
    )
    reason = forms.CharField(
        label="Why that importance",
        max_length=300,
        required=False,
        help_text="Only where it differs from what the judgement gives.",
    )

    def __init__(
        self, *args: Any, ways: Sequence[tuple[str, str]], usual: Importance, **kwargs: Any
    ) -> None:
        """Take the ways there are, as value and words, and the usual importance."""
        super().__init__(*args, **kwargs)
        self.usual = usual
        self.fields["way"].choices = ways  # type: ignore[attr-defined] # a choice field

    def clean(self) -> dict[str, Any]:
        """Ask for the reasons that are needed."""
        given = super().clean() or {}
        no_work = given.get("way") == NO_WORK
        if no_work and not given.get("no_work_reason"):
            self.add_error("no_work_reason", "Say why: the customer reads it on the quote.")
        if not no_work:
            given["no_work_reason"] = ""
        importance = given.get("importance")
        if importance and importance != self.usual and not given.get("reason"):
            self.add_error("reason", f"As judged, it {self.usual.label}. Say why you differ.")
        return given


def choices_of(row: QuotedFinding) -> dict[str, Any]:
    """Return what the form shows at first for a finding."""
    way = NO_WORK if row.no_work_reason else str(row.remedy_id or BY_HAND)
    return {
        "way": way,
        "no_work_reason": row.no_work_reason,
        "importance": row.importance,
        "reason": row.importance_reason,
    }


class LineForm(forms.Form):
    """Quantity and price of a line that was worked out, or leaving it out."""

    quantity = QuantityField(label="Quantity")
    unit_price_net = PriceField(label="Price each, net", fine=True)
    leave_out = forms.BooleanField(label="Leave this line out", required=False)
    reason = forms.CharField(label="Reason", max_length=300, help_text=REASON_HELP)

    def __init__(
        self, *args: Any, line: Line, change: LineChange | None, shop: Shop, **kwargs: Any
    ) -> None:
        """Take the line as it stands and the change made to it before, if any."""
        kwargs["initial"] = {
            "quantity": line.quantity,
            "unit_price_net": line.unit_price_net,
            "leave_out": change.leave_out if change else False,
            "reason": change.reason if change else "",
        }
        super().__init__(*args, **kwargs)
        self.line, self.change = line, change
        if line.unit == "min":
            self.fields["quantity"].label = "Minutes"
            self.fields["unit_price_net"].label = "Price an hour, net"
        use_currency(self, shop.currency, shop.locale)

    def overrides(self) -> dict[str, Any]:
        """Return what differs from the catalogue: what is left as shown stays as it was."""
        given = self.cleaned_data
        made: dict[str, Any] = {"leave_out": given["leave_out"], "reason": given["reason"]}
        for name in ("quantity", "unit_price_net"):
            kept = getattr(self.change, name, None)
            made[name] = kept if given[name] == getattr(self.line, name) else given[name]
        return made

    def clean(self) -> dict[str, Any]:
        """Refuse a form that changes nothing."""
        given = super().clean() or {}
        as_shown = all(
            given.get(name) == getattr(self.line, name) for name in ("quantity", "unit_price_net")
        )
        if as_shown and not given.get("leave_out") and self.change is None and not self.errors:
            raise ValidationError("Nothing is changed yet: change a figure, or leave the line out.")
        return given


class HandLineForm(forms.Form):
    """A line by hand, for a finding or for the whole bike."""

    description = forms.CharField(label="What for", max_length=200)
    finding = forms.ChoiceField(label="Belongs to", required=False)
    quantity = QuantityField(label="Quantity", initial=1)
    unit = forms.CharField(label="Unit", max_length=12, initial="pc", help_text="pc, h, m, set …")
    unit_price_net = PriceField(
        label="Price each, net", fine=True, signed=True, help_text="Below zero for a discount."
    )
    vat_code = forms.ChoiceField(label="VAT", choices=VatCode.choices)
    importance = forms.ChoiceField(label="Importance", choices=IMPORTANCES)
    cost_net = PriceField(
        label="What it costs the shop, net", fine=True, required=False,
        help_text="For the whole line. The customer never sees it.",
    )  # fmt: skip
    reason = forms.CharField(
        label="Reason", max_length=300, help_text="Printed below the line; kept with your name."
    )

    def __init__(
        self,
        *args: Any,
        rows: Sequence[QuotedFinding],
        shop: Shop,
        sees_costs: bool,
        **kwargs: Any,
    ) -> None:
        """Take the findings it can belong to; the cost is asked only of those who see costs."""
        super().__init__(*args, **kwargs)
        self.rows = {str(row.pk): row for row in rows}
        self.fields["finding"].choices = [  # type: ignore[attr-defined] # a choice field
            ("", "the whole bike"),
            *((str(row.pk), f"{n} {row}") for n, row in enumerate(rows, start=1)),
        ]
        if not sees_costs:
            del self.fields["cost_net"]
        if not shop.vat_registered:
            self.fields["vat_code"].widget = forms.HiddenInput()
            self.fields["vat_code"].initial = VatCode.STANDARD
        use_currency(self, shop.currency, shop.locale)

    def clean_quantity(self) -> Any:  # noqa: ANN401 - Decimal, as the field gives it
        """Refuse a line of nothing."""
        quantity = self.cleaned_data["quantity"]
        if not quantity:
            raise ValidationError("Enter more than nothing.")
        return quantity

    def values(self) -> dict[str, Any]:
        """Return the fields of the line; a cost not asked for is left as it is."""
        given = dict(self.cleaned_data)
        given.pop("finding")
        if "cost_net" in given and given["cost_net"] is None:
            given["cost_net"] = 0
        return given

    def findings(self) -> list[QuotedFinding]:
        """Return the finding it belongs to, if any."""
        row = self.rows.get(self.cleaned_data["finding"])
        return [row] if row else []


def hand_values(line: Line, findings: Sequence[int]) -> Mapping[str, Any]:
    """Return what the form shows at first for a line by hand."""
    names = ("description", "quantity", "unit", "unit_price_net", "vat_code", "importance")
    shown = {name: getattr(line, name) for name in (*names, "cost_net", "reason")}
    return shown | {"finding": str(findings[0]) if findings else ""}


class DetailsForm(forms.ModelForm):  # type: ignore[type-arg] # not subscriptable at run time
    """How long a draft is to stand, and the message."""

    class Meta:
        model = Revision
        fields = ("valid_until", "message")
        widgets = {
            "valid_until": forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
            "message": forms.Textarea(attrs={"rows": 4}),
        }

    def __init__(self, *args: Any, days: int, **kwargs: Any) -> None:
        """Take the days a quote of this shop usually stands."""
        super().__init__(*args, **kwargs)
        self.fields["valid_until"].help_text = f"Left empty: {days} days from sending."

    def clean_valid_until(self) -> Any:  # noqa: ANN401 - a date or None, as the field gives it
        """Refuse a date that no quote can stand until."""
        until = self.cleaned_data["valid_until"]
        try:
            refuse_date(until)
        except DetailsError as error:
            raise ValidationError(str(error)) from error
        return until


class SendForm(forms.Form):
    """The last question before a quote goes out."""

    unfinished_ok = forms.BooleanField(
        label="Send it though the walk is not finished; the quote says what was not looked at",
        required=False,
    )

    def __init__(self, *args: Any, unfinished: bool, **kwargs: Any) -> None:
        """Ask only where the walk is not finished."""
        super().__init__(*args, **kwargs)
        if not unfinished:
            del self.fields["unfinished_ok"]
