"""The forms of suppliers and of matching their articles."""

from __future__ import annotations

from typing import Any

from django import forms

from inventory.formfields import use_currency
from inventory.parts.models import Part
from inventory.suppliers.models import LONGEST_LEAD_DAYS, Supplier


class SupplierForm(forms.ModelForm):  # type: ignore[type-arg] # not subscriptable at run time
    """What is known of a supplier."""

    web = forms.URLField(label="Web address", required=False, assume_scheme="https")

    class Meta:
        model = Supplier
        fields = (
            "name",
            "contact",
            "email",
            "phone",
            "web",
            "own_number",
            "currency",
            "terms",
            "carriage_free_net",
            "carriage_net",
            "lead_days",
            "note",
            "active",
        )
        widgets = {
            "note": forms.Textarea(attrs={"rows": 3}),
            "lead_days": forms.TextInput(attrs={"inputmode": "numeric"}),
            "currency": forms.TextInput(attrs={"autocapitalize": "characters", "size": 4}),
        }
        help_texts = {"lead_days": "From the order until the goods are here."}

    def __init__(self, *args: Any, currency: str, locale: str, **kwargs: Any) -> None:
        """Begin with the shop's currency; take amounts in the one that is written."""
        super().__init__(*args, **kwargs)
        if self.instance.pk is None:
            self.initial.setdefault("currency", currency)
        written = str(self["currency"].value() or currency).strip().upper()
        use_currency(self, written if len(written) == len("GBP") else currency, locale)

    def clean_currency(self) -> str:
        """Return the currency in capitals; it stays while there are prices in it."""
        code: str = self.cleaned_data["currency"].upper()
        had = self.instance
        if had.pk and "currency" in self.changed_data and had.articles.exists():
            raise forms.ValidationError(
                "There are prices in the old currency. Enter the supplier anew for another one."
            )
        return code

    def clean_lead_days(self) -> int | None:
        """Return the lead time, a year at most."""
        days: int | None = self.cleaned_data["lead_days"]
        if days is not None and days > LONGEST_LEAD_DAYS:
            raise forms.ValidationError(f"Write working days, {LONGEST_LEAD_DAYS} at most.")
        return days


class MatchForm(forms.Form):
    """Which of our parts an article is."""

    find = forms.CharField(label="Find our part", required=False, max_length=80)
    part = forms.ModelChoiceField(
        Part.objects.none(),
        label="Our part",
        required=False,
        blank=True,
        empty_label="none of ours",
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: Any, offered: list[Part], **kwargs: Any) -> None:
        """Offer these parts."""
        super().__init__(*args, **kwargs)
        field = self.fields["part"]
        if isinstance(field, forms.ModelChoiceField):
            field.queryset = Part.objects.filter(pk__in=[part.pk for part in offered])
