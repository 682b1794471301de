"""The page of margins by part."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.utils import timezone

from inventory.lists import listing, show_list
from quotes.margins.forms import PeriodForm
from quotes.margins.selectors import part_margins, sums_of
from quotes.margins.tables import MarginTable, in_per_cent

YEAR = dt.timedelta(days=365)


def parts(request: HttpRequest) -> HttpResponseBase:
    """Show what each part brought in the repairs released in a time, the last year at first."""
    today = timezone.localdate()
    usual: dict[str, Any] = {"first": today - YEAR, "last": today}
    asked = {name: request.GET.get(name) or day for name, day in usual.items()}
    form = PeriodForm(asked)
    valid = form.is_valid()
    period = form.cleaned_data if valid else usual
    rows = part_margins(period["first"], period["last"])
    sums = sums_of(rows)
    context = listing(request, rows, table=MarginTable)
    context |= {"form": form, "sums": sums, "share": in_per_cent(sums.share)}
    context["differing"] = any(each.differs for each in rows)
    return show_list(request, "quotes/margins/parts.html", context, status=200 if valid else 422)
