"""A form's field for one part: its name or code is written, whatever the number of parts."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.urls import reverse_lazy

from inventory.parts.models import Part
from inventory.search.selectors import parts_found

OFFERED = 12
NAMED = 5
OFFERS_ID = "parts-offered"
WITH_CODE = re.compile(r".*\((?P<code>[\w-]+)\)", re.DOTALL)


def parts_offered(text: str) -> list[Part]:
    """Return a few parts in use that the words find, by name."""
    found = parts_found(Part.objects.filter(active=True), text)
    return list(found.order_by("name", "pk")[:OFFERED])


def part_named(text: str) -> Part | None:
    """Return the part of a code, of an article number, or of a name with the code behind it."""
    match = WITH_CODE.fullmatch(text)
    code = match["code"] if match else text
    figures = text.zfill(13) if text.isdecimal() else text
    found = Part.objects.filter(Q(code__iexact=code) | Q(gtin__in={text, figures} - {""}))
    return found.first()


class PartField(forms.Field):
    """Takes a part's code, its article number, or words that only one part in use has.

    The page it stands on includes ``components/part_offers.html``, once; there the parts that the
    words find are offered while somebody types.
    """

    default_error_messages = {"required": "Write the name or the code of a part."}

    def __init__(self, **kwargs: Any) -> None:
        """Write the part in a line of text."""
        for unused in ("queryset", "limit_choices_to", "to_field_name", "blank"):
            kwargs.pop(unused, None)
        super().__init__(widget=forms.TextInput, **kwargs)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """Offer parts while somebody types."""
        return super().widget_attrs(widget) | {
            "list": OFFERS_ID,
            "autocomplete": "off",
            "spellcheck": "false",
            "hx-get": reverse_lazy("stock:offers"),
            "hx-trigger": "input changed delay:200ms",
            "hx-target": f"#{OFFERS_ID}",
            "hx-sync": "this:replace",
        }

    def to_python(self, value: Any) -> Part | None:  # noqa: ANN401 - Django's signature
        """Return the part.

        Raises:
            ValidationError: there is none, or more than one.
        """
        text = " ".join(str(value or "").replace("\0", " ").split())
        if not text:
            return None
        return part_named(text) or only_one(text)

    def has_changed(self, initial: Any, data: Any) -> bool:  # noqa: ANN401 - Django's signature
        """Tell whether another part is written than the one that was there."""
        return str(initial or "") != str(data or "").strip()


def only_one(text: str) -> Part:
    """Return the one part in use that the words find.

    Raises:
        ValidationError: they find none, or more.
    """
    found = parts_offered(text)
    if not found:
        raise ValidationError(f"No part has the words “{text}”. Enter it in the catalogue first.")
    if len(found) > 1:
        named = ", ".join(map(str, found[:NAMED]))
        more = " and others" if len(found) > NAMED else ""
        raise ValidationError(
            f"“{text}” may be {named}{more}. Write the code of the one that is meant."
        )
    return found[0]
