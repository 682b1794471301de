"""The form for the shop: head of the paper, VAT, quotes, buying policy."""

from __future__ import annotations

from typing import Any

from django import forms

from inventory.formfields import PercentField, use_currency
from workshop.shop.codes import countries, currencies, number_styles, vat_number
from workshop.shop.models import Shop, VatScheme

LONGEST_VALIDITY_DAYS = 365
NO_VAT_NUMBER = "A shop that is registered has a VAT number. Write it, or untick “registered”."
SCHEME_WITHOUT_REGISTRATION = (
    "A shop that is not registered charges no VAT. Choose “not registered for VAT”."
)
REGISTRATION_WITHOUT_SCHEME = (
    "A shop that is registered sells under the margin scheme or in the ordinary way. Choose one."
)


class ShopForm(forms.ModelForm):  # type: ignore[type-arg] # not subscriptable at run time
    """Everything about the shop; shares are per cent on screen and fractions inside."""

    country = forms.ChoiceField(label="Country", choices=countries)
    currency = forms.ChoiceField(
        label="Currency",
        choices=currencies,
        help_text="Amounts that are kept already are not converted.",
    )
    locale = forms.ChoiceField(label="Number and date style", choices=number_styles)

    class Meta:
        model = Shop
        fields = (
            "name",
            "address",
            "phone",
            "email",
            "web",
            "country",
            "currency",
            "locale",
            "vat_registered",
            "vat_number",
            "tax_number",
            "resale_scheme",
            "quote_valid_days",
            "sundries_share",
            "sundries_min_net",
            "sundries_max_net",
            "terms",
            "target_margin_net",
            "selling_fee_share",
            "selling_fee_net",
            "warranty_share",
            "confidence",
            "opening_share",
            "opening_step",
            "must_do_resale_share",
            "parts_resale_share",
            "strip_minutes",
            "waiting_day_net",
            "usual_lead_days",
            "mechanics_see_costs",
        )
        field_classes = {
            "sundries_share": PercentField,
            "selling_fee_share": PercentField,
            "warranty_share": PercentField,
            "confidence": PercentField,
            "opening_share": PercentField,
            "must_do_resale_share": PercentField,
            "parts_resale_share": PercentField,
        }
        widgets = {
            "address": forms.Textarea(attrs={"rows": 4}),
            "terms": forms.Textarea(attrs={"rows": 6}),
            "resale_scheme": forms.RadioSelect,
        }
        labels = {
            "quote_valid_days": "A quote stands for",
            "sundries_share": "Sundries, share of labour",
            "strip_minutes": "Stripping a bike for its parts",
            "waiting_day_net": "A working day’s waiting for a part is worth, net",
            "usual_lead_days": "Where no lead time is known, a part takes",
            "must_do_resale_share": "With only the must-dos done, of the resale price",
            "parts_resale_share": "Sold for parts, of the resale price",
        }
        help_texts = {
            "sundries_share": "Grease, cable ends, cleaning: what is too small for a line each.",
            "vat_number": "With or without the country’s letters.",
            "tax_number": (
                "Printed on invoices where there is no VAT number; the law asks for it in Germany."
            ),
            "confidence": "So often the target must be reached at the ceiling price.",
            "opening_share": "Of the ceiling price; there must be room to meet.",
            "waiting_day_net": (
                "The cheapest plan takes a dearer remedy whose parts are on the shelf where this "
                "is worth more than the difference. 0 leaves waiting out of it."
            ),
            "usual_lead_days": "From order to goods in. A supplier’s own lead time comes first.",
        }

    def __init__(self, *args: Any, read_only: bool = False, **kwargs: Any) -> None:
        """Show amounts in the shop's currency; ``read_only`` closes every field."""
        super().__init__(*args, **kwargs)
        use_currency(self, self.instance.currency, self.instance.locale)
        for field in self.fields.values():
            field.disabled = read_only

    def clean_quote_valid_days(self) -> int:
        """Return how long a quote stands, from a day to a year."""
        days: int = self.cleaned_data["quote_valid_days"]
        if not 1 <= days <= LONGEST_VALIDITY_DAYS:
            raise forms.ValidationError(
                f"A quote can't stand for {days} days. Write 1 to {LONGEST_VALIDITY_DAYS}."
            )
        return days

    def clean(self) -> dict[str, Any]:
        """Check what depends on more than one field."""
        super().clean()
        data = self.cleaned_data
        self.check_vat(data)
        least, most = data.get("sundries_min_net"), data.get("sundries_max_net")
        if least is not None and most is not None and least > most:
            self.add_error(
                "sundries_max_net", "This is less than the least. Raise it, or lower the least."
            )
        return data

    def check_vat(self, data: dict[str, Any]) -> None:
        """See that registration, number and scheme go together and the number can be one."""
        registered, scheme = data.get("vat_registered"), data.get("resale_scheme")
        if registered and scheme == VatScheme.NONE:
            self.add_error("resale_scheme", REGISTRATION_WITHOUT_SCHEME)
        if not registered and scheme and scheme != VatScheme.NONE:
            self.add_error("resale_scheme", SCHEME_WITHOUT_REGISTRATION)
        number, country = data.get("vat_number", ""), data.get("country")
        if registered and not number:
            self.add_error("vat_number", NO_VAT_NUMBER)
        if number and country:
            try:
                data["vat_number"] = vat_number(number, country)
            except ValueError as error:
                self.add_error(
                    "vat_number",
                    f"“{number}” is no VAT number of {dict(countries())[country]}: {error}.",
                )
