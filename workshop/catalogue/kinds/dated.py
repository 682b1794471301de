"""What dated rates share: one in force is never changed, a new one takes over from a day."""

from __future__ import annotations

import datetime as dt
from typing import Any, Protocol

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.formats import date_format

from workshop.catalogue.forms import CatalogueForm


class Dated(Protocol):
    """A record that holds from a day until the next one."""

    valid_from: dt.date


def in_force(record: Dated, today: dt.date) -> str:
    """Answer why a rate may not be changed: it has been reckoned with."""
    if record.valid_from > today:
        return ""
    return (
        f"This rate has been in force since {date_format(record.valid_from)}, and quotes were "
        "priced with it. Add a new rate that holds from a day on; this one stays for what is past."
    )


def check_start(form: CatalogueForm, others: QuerySet[Any]) -> None:
    """See that a rate starts today or later, once there is one, and on a day of its own."""
    day: dt.date | None = form.cleaned_data.get("valid_from")
    if day is None:
        return
    others = others.exclude(pk=form.instance.pk) if form.instance.pk else others
    if others.filter(valid_from=day).exists():
        form.add_error(
            "valid_from", f"There is a rate from {date_format(day)} already. Choose another day."
        )
    elif day < timezone.localdate() and others.exists():
        form.add_error(
            "valid_from",
            f"{date_format(day)} is past, and what was priced since keeps its price. "
            "Choose today or a later day.",
        )
