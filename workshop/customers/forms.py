"""Forms about customers."""

from __future__ import annotations

from django import forms

from workshop.customers.models import Customer
from workshop.customers.selectors import figures_of

FEWEST_FIGURES = 3


class CustomerForm(forms.ModelForm):  # type: ignore[type-arg] # not subscriptable at run time
    """Who somebody is and how to reach them."""

    class Meta:
        model = Customer
        fields = ("name", "phone", "email", "address", "note")
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "off"}),
            "phone": forms.TextInput(attrs={"type": "tel", "autocomplete": "off"}),
            "email": forms.EmailInput(attrs={"autocomplete": "off"}),
            "address": forms.Textarea(attrs={"rows": 3}),
            "note": forms.Textarea(attrs={"rows": 3}),
        }

    def clean_phone(self) -> str:
        """Return the phone number, which must hold figures."""
        return checked_phone(self.cleaned_data["phone"])


def checked_phone(phone: str) -> str:
    """Return a phone number as typed.

    Raises:
        ValidationError: it holds too few figures to be one.
    """
    if phone and len(figures_of(phone)) < FEWEST_FIGURES:
        raise forms.ValidationError(
            f"“{phone}” is not a phone number. Write its figures, or leave it empty."
        )
    return phone
