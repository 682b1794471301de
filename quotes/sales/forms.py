"""Forms of the stock book: a purchase, a sale, taking a sale back, the days of the book."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone

from inventory.formfields import PriceField, use_currency
from quotes.buyin.models import MarginCheck
from quotes.provenance.models import ProvenanceCheck
from quotes.resale.models import Grade
from quotes.sales.models import Channel, Line, Payment, Purchase, Sale
from quotes.sales.selectors.book import FIRST_DAY, LAST_DAY, Days
from quotes.sales.verbs.buy import Bought
from quotes.sales.verbs.reduce import PaidBack
from quotes.sales.verbs.sell import Extra, Sold
from workshop.customers.choosing import OwnerFields
from workshop.customers.selectors import customers_with
from workshop.shop.models import Shop

LONGEST_NAME, LONGEST_ADDRESS = 120, 400
EXTRAS = 3
USUAL_WARRANTY_MONTHS = 6


def day_field(label: str, **more: Any) -> forms.DateField:
    """Return a field for a day."""
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    return forms.DateField(label=label, widget=widget, **more)


def address_field(label: str, **more: Any) -> forms.CharField:
    """Return a field for an address."""
    widget = forms.Textarea(attrs={"rows": 3, "autocomplete": "off"})
    return forms.CharField(label=label, max_length=LONGEST_ADDRESS, widget=widget, **more)


def name_field(label: str, **more: Any) -> forms.CharField:
    """Return a field for a person's or a firm's name."""
    widget = forms.TextInput(attrs={"autocomplete": "off"})
    return forms.CharField(label=label, max_length=LONGEST_NAME, widget=widget, **more)


class BuyForm(forms.Form):
    """What was agreed and paid for a bike that is bought."""

    bought_on = day_field("Bought on")
    price = PriceField(label="Price paid", help_text="All of it, as the seller gets it.")
    payment = forms.ChoiceField(label="Paid by", choices=Payment.choices)
    seller_name = name_field("Seller’s name")
    seller_address = address_field("Seller’s address")
    seller_invoice = forms.CharField(
        label="Number of the seller’s invoice",
        max_length=40,
        required=False,
        help_text="A private seller makes none: they sign our receipt.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    vat_shown = forms.BooleanField(
        label="VAT is shown on the seller’s invoice",
        required=False,
        help_text="The bike is then sold under ordinary VAT: the margin scheme is not for it.",
    )
    pooled = forms.BooleanField(
        label="Put it into global accounting",
        required=False,
        help_text="Its margin is reckoned together with the pool’s.",
    )
    unchecked_reason = forms.CharField(
        label="Why it is bought without a passed provenance check", max_length=200
    )

    def __init__(
        self, *args: Any, shop: Shop, may_pool: bool, lacks_provenance: bool, **kwargs: Any
    ) -> None:
        """Leave out what does not apply."""
        super().__init__(*args, **kwargs)
        use_currency(self, shop.currency, shop.locale)
        if not may_pool:
            del self.fields["pooled"]
        if not lacks_provenance:
            del self.fields["unchecked_reason"]
        if not shop.vat_registered:
            del self.fields["vat_shown"]

    def bought(self) -> Bought:
        """Return the purchase of a valid form."""
        return Bought(**self.cleaned_data)


def first_purchase(check: MarginCheck, provenance: ProvenanceCheck | None) -> dict[str, Any]:
    """Return what the form begins with: the decision's price, and who the seller showed to be.

    Where it was entered before and reversed, it begins with what was entered then.
    """
    before = Purchase.objects.filter(check_made=check).select_related("seller").last()
    if before is not None:
        return _entered_before(before)
    identity = getattr(provenance, "identity", None)
    person = identity or check.bike.customer
    return {
        "bought_on": timezone.localdate(),
        "price": check.purchase_price,
        "seller_name": person.name,
        "seller_address": person.address,
    }


def _entered_before(row: Purchase) -> dict[str, Any]:
    """Return a purchase as the form has it; a name that was deleted since is empty."""
    seller = getattr(row, "seller", None)
    names = ("bought_on", "price", "payment", "seller_invoice", "vat_shown", "unchecked_reason")
    return {name: getattr(row, name) for name in names} | {
        "pooled": row.is_pooled,
        "seller_name": seller.name if seller else "",
        "seller_address": seller.address if seller else "",
    }


class SellForm(OwnerFields):
    """A sale: the bike's price, its buyer, what goes along.

    The buyer is a customer found, who may have another name on the invoice, or somebody new.
    """

    sold_on = day_field("Sold on")
    price = PriceField(label="Price of the bike", help_text="As the buyer pays it, VAT included.")
    payment = forms.ChoiceField(label="Paid by", choices=Payment.choices)
    buyer_name = name_field(
        "Buyer’s name",
        required=False,
        help_text="As the invoice has it. Empty for a customer found above: their own.",
    )
    buyer_address = address_field(
        "Buyer’s address",
        required=False,
        help_text="An invoice under the margin scheme must carry it.",
    )
    becomes_customer = forms.BooleanField(
        label="Keep them as a customer",
        required=False,
        help_text="The bike stands under their name when it comes back for service.",
    )
    warranty_months = forms.IntegerField(
        label="Warranty, months", min_value=0, max_value=120, initial=USUAL_WARRANTY_MONTHS
    )
    channel = forms.ChoiceField(label="Sold", choices=Channel.choices)
    condition = forms.TypedChoiceField(
        label="Condition it is sold in",
        choices=sorted(Grade.choices, reverse=True),
        coerce=int,
        initial=Grade.GOOD,
        help_text="Kept with the price, as a comparable for bikes to come.",
    )
    fees_net = PriceField(
        label="Selling fees, net",
        required=False,
        help_text="What a market place or a helper takes. Empty: the shop’s usual fees.",
    )

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        """Offer the customers found, and lines for what goes along, in the shop's currency."""
        super().__init__(*args, **kwargs)
        del self.fields["new_name"]
        self.fields["customer"].label = "Buyer"
        self.fields["find"].widget.attrs |= {
            "hx-get": "",
            "hx-trigger": "input changed delay:300ms",
            "hx-include": "#customer-choices",
            "hx-target": "#customer-choices",
            "hx-swap": "outerHTML",
        }
        self.offer_customers(customers_with(str(self["find"].value() or "")))
        for number in range(1, EXTRAS + 1):
            self.fields[f"extra_{number}"] = forms.CharField(
                label=f"Sold along ({number})", max_length=120, required=False
            )
            self.fields[f"extra_{number}_price"] = PriceField(
                label=f"Its price ({number})", required=False
            )
        use_currency(self, shop.currency, shop.locale)

    def clean(self) -> dict[str, Any]:
        """See that the buyer is known, and each thing sold along has a name and a price."""
        data = self.cleaned_data
        self._name_the_buyer(data)
        for number in range(1, EXTRAS + 1):
            name, price = data.get(f"extra_{number}"), data.get(f"extra_{number}_price")
            if name and price is None:
                self.add_error(f"extra_{number}_price", f"Write the price of “{name}”.")
            if price is not None and not name:
                self.add_error(f"extra_{number}", "Say what it is.")
        return data

    def _name_the_buyer(self, data: dict[str, Any]) -> None:
        """Take the name of the customer chosen, or make a customer of somebody new."""
        chosen, name = data.get("customer"), data.get("buyer_name", "").strip()
        if chosen:
            data["buyer_name"] = name or chosen.name
            data["buyer_address"] = data.get("buyer_address") or chosen.address
        elif not name:
            self.add_error("buyer_name", "Find the customer above, or write the buyer’s name here.")
        elif data.get("becomes_customer"):
            new = self.newcomer(name, data.get("new_phone", ""), data.get("new_email", ""))
            if new:
                new.address = data.get("buyer_address", "")
                data["customer"] = new

    def extras(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """Return the fields of each thing sold along."""
        return [
            (self[f"extra_{number}"], self[f"extra_{number}_price"])
            for number in range(1, EXTRAS + 1)
        ]

    def sold(self) -> Sold:
        """Return the sale of a valid form."""
        data = dict(self.cleaned_data)
        pairs = [
            (data.pop(f"extra_{number}"), data.pop(f"extra_{number}_price"))
            for number in range(1, EXTRAS + 1)
        ]
        extras = tuple(Extra(name, price) for name, price in pairs if name)
        for name in ("find", "new_phone", "new_email", "becomes_customer"):
            data.pop(name)
        return Sold(**data | {"condition": Grade(data["condition"])}, extras=extras)


class ReturnForm(forms.Form):
    """Why a sale is taken back, and whether the bike is looked over before it is sold again."""

    returned_on = day_field("Taken back on")
    reason = forms.CharField(label="Why", max_length=200)
    to_bench = forms.TypedChoiceField(
        label="Before it is sold again",
        choices=(("yes", "it is looked over and released anew"), ("no", "nothing: it is unused")),
        coerce=lambda value: value == "yes",
        initial="yes",
        widget=forms.RadioSelect,
    )


class ReduceForm(forms.Form):
    """How much of a sale is paid back, of which of its lines, and why; the bike stays sold."""

    line = forms.ModelChoiceField(label="Of", queryset=Line.objects.none(), empty_label=None)
    amount = PriceField(label="Paid back", help_text="As the buyer gets it, VAT included.")
    reduced_on = day_field("Paid back on")
    reason = forms.CharField(
        label="Why", max_length=200, help_text="It is printed on the credit note."
    )

    def __init__(self, *args: Any, sale: Sale, shop: Shop, **kwargs: Any) -> None:
        """Offer the lines of the sale; where there is only the bike, do not ask."""
        super().__init__(*args, **kwargs)
        lines = Line.objects.filter(sale=sale).order_by("position")
        self.fields["line"].queryset = lines  # type: ignore[attr-defined] # of that kind
        self.fields["line"].initial = lines.first()
        if len(lines) == 1:
            self.fields["line"].widget = forms.HiddenInput()
        use_currency(self, shop.currency, shop.locale)

    def paid_back(self) -> PaidBack:
        """Return what a valid form says."""
        return PaidBack(**self.cleaned_data)


class ReverseForm(forms.Form):
    """What was wrong about a purchase as it was entered, and whether the bike is bought."""

    reason = forms.CharField(
        label="What was entered wrongly", max_length=200, help_text="It stands in the stock book."
    )
    still_bought = forms.TypedChoiceField(
        label="And the bike",
        choices=(
            ("yes", "is bought: enter it anew, with the right figures"),
            ("no", "was not bought: the decision is open again"),
        ),
        coerce=lambda value: value == "yes",
        initial="yes",
        widget=forms.RadioSelect,
    )


class DaysForm(forms.Form):
    """From which day to which the stock book is shown."""

    first = day_field("From", required=False)
    last = day_field("To", required=False)

    def clean(self) -> dict[str, Any]:
        """See that the days stand in order."""
        first, last = self.cleaned_data.get("first"), self.cleaned_data.get("last")
        if first and last and last < first:
            self.add_error("last", "This is before the first day.")
        return self.cleaned_data

    def days(self) -> Days:
        """Return the days of a valid form; without one that end is open."""
        data = self.cleaned_data
        return Days(data.get("first") or FIRST_DAY, data.get("last") or LAST_DAY)


def this_year(today: dt.date) -> dict[str, dt.date]:
    """Return the days that the book begins with: this year so far."""
    return {"first": today.replace(month=1, day=1), "last": today}
