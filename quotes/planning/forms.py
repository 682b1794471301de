"""The form that sets by hand how a finding is, or is not, to be cured."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms

from quotes.planning.models import LockKind
from workshop.inspections.models import RemedyOption
from workshop.labour.models import Remedy

LONGEST_REASON = 200


class LockForm(forms.Form):
    """A remedy, whether it must or must not be, and why."""

    remedy = forms.ModelChoiceField(
        Remedy.objects.none(), label="Remedy", widget=forms.RadioSelect, empty_label=None
    )
    kind = forms.ChoiceField(
        label="How", choices=LockKind.choices, initial=LockKind.LOCK, widget=forms.RadioSelect
    )
    reason = forms.CharField(label="Why", max_length=LONGEST_REASON)

    def __init__(self, *args: Any, remedies: Iterable[int], **kwargs: Any) -> None:
        """Offer these remedies (by pk)."""
        super().__init__(*args, **kwargs)
        field = self.fields["remedy"]
        if isinstance(field, forms.ModelChoiceField):
            field.queryset = Remedy.objects.filter(pk__in=remedies).order_by("name")


def remedies_for(fault: int) -> set[int]:
    """Return every remedy in use that may cure a fault, alone or with others, in two queries."""
    options = RemedyOption.objects.filter(fault=fault, remedy__active=True)
    packages = Remedy.objects.filter(packages__faults=fault, packages__active=True, active=True)
    return {*options.values_list("remedy", flat=True), *packages.values_list("pk", flat=True)}
