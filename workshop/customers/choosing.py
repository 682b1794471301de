"""Choosing a customer within another form: somebody known, or somebody new."""

from __future__ import annotations

from collections.abc import Sequence

from django import forms

from workshop.customers.forms import checked_phone
from workshop.customers.models import Customer
from workshop.customers.selectors import likely_the_same


class OwnerFields(forms.Form):
    """Who brings the bike: somebody known, found by a few letters, or somebody new."""

    find = forms.CharField(
        label="Find a customer",
        help_text="A few letters of the name, or the phone number.",
        required=False,
        max_length=120,
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )
    customer = forms.ModelChoiceField(
        Customer.objects.all(),
        label="Customer or seller",
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "That customer is gone. Find them again."},
    )
    new_name = forms.CharField(
        label="Name",
        max_length=120,
        error_messages={"required": "Find the customer above, or write the name here."},
    )
    new_phone = forms.CharField(
        label="Phone", required=False, max_length=40, widget=forms.TextInput(attrs={"type": "tel"})
    )
    new_email = forms.EmailField(label="E-mail", required=False)
    found: Sequence[Customer] = ()

    def offer_customers(self, found: list[Customer]) -> None:
        """Offer those found as choices, the one chosen so far first, and "somebody new" last."""
        chosen = self["customer"].value()
        if chosen and str(chosen).isdecimal():
            kept = Customer.objects.filter(pk=chosen)
            found = [*kept, *(each for each in found if each not in kept)]
        field = self.fields["customer"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 - for the type
        field.choices = [*((each.pk, introduced(each)) for each in found), ("", "Somebody new")]
        self.found = found

    def clean_new_phone(self) -> str:
        """Return the phone number, which must hold figures."""
        return checked_phone(self.cleaned_data["new_phone"])

    def owner(self) -> Customer | None:
        """Return the customer chosen, or a new one not saved yet; None with errors set."""
        data = self.cleaned_data
        chosen: Customer | None = data.get("customer")
        name = data.get("new_name", "").strip()
        if chosen and name:
            self.add_error(
                "new_name",
                f"{chosen} is chosen above and a new name stands here. "
                "Empty this, or choose “Somebody new”.",
            )
        if chosen or not name:
            return chosen
        return self.newcomer(name, data.get("new_phone", ""), data.get("new_email", ""))

    def newcomer(self, name: str, phone: str, email: str) -> Customer | None:
        """Return a new customer, unless the same person is known already."""
        twins = likely_the_same(name, phone, email)
        if not twins:
            return Customer(name=name, phone=phone, email=email)
        self.offer_customers(twins)
        self.add_error(
            "customer", f"{name} is known already. Choose them here and empty the new name."
        )
        return None


def introduced(customer: Customer) -> str:
    """Return a customer's name with what tells them from a namesake."""
    return " · ".join(filter(None, (customer.name, customer.phone or customer.email)))
