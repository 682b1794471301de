"""Pages that end a list's way: what is wrong as a file, applying, discarding."""

from __future__ import annotations

import csv
from collections.abc import Iterator

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect

from inventory.core.sheets import guarded
from inventory.pricelists.forms import ApplyForm
from inventory.pricelists.models import Incoming
from inventory.pricelists.selectors import incoming_for_list
from inventory.pricelists.verbs.apply import CannotApplyError, apply
from inventory.pricelists.verbs.discard import discard
from inventory.pricelists.verbs.settle import NotOpenError
from inventory.pricelists.views.reading import list_page
from inventory.pricelists.views.sending import person_of

HEAD = ("row", "column", "what stands there", "what to do")


class Line:
    """A file that hands each line back."""

    def write(self, text: str) -> str:
        """Return the line."""
        return text


def problems_file(request: HttpRequest, pk: int) -> StreamingHttpResponse:
    """Send what is wrong as CSV, by row and column; no cell runs as a formula."""
    incoming = get_object_or_404(Incoming, pk=pk)
    writer = csv.writer(Line())

    def lines() -> Iterator[str]:
        yield "\ufeff" + writer.writerow(HEAD)
        for each in incoming.problems.iterator():
            cells = (str(each.number), each.column, each.cell, each.message)
            yield writer.writerow(map(guarded, cells))

    return StreamingHttpResponse(
        lines(),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="problems-{pk}.csv"'},
    )


def apply_list(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Apply a list, or say why it cannot be."""
    incoming = get_object_or_404(incoming_for_list(), pk=pk)
    form = ApplyForm(request.POST, incoming=incoming)
    if not form.is_valid():
        return list_page(request, incoming, form, status=422)
    shop = request.shop  # type: ignore[attr-defined] # the layer above sets it
    try:
        made = apply(
            incoming,
            by=person_of(request),
            currency=shop.currency,
            leave_wrong=form.cleaned_data.get("leave_wrong", False),
            jumps=form.cleaned_data.get("jumps", ""),
        )
    except CannotApplyError as error:
        form.add_error(None, str(error))
        return list_page(request, incoming, form, status=422)
    except NotOpenError as error:
        messages.warning(request, str(error))
        return redirect("pricelists:page", pk)
    messages.success(
        request,
        f"{made.name} is applied: {made.added:,} new, {made.changed:,} changed, "
        f"{made.ended:,} no longer sold.",
    )
    return redirect("suppliers:detail", made.supplier_id)


def discard_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Discard a list."""
    incoming = get_object_or_404(Incoming, pk=pk)
    try:
        discard(incoming)
        messages.success(request, f"{incoming} is discarded. Nothing of it is applied.")
    except NotOpenError as error:
        messages.warning(request, str(error))
    return redirect("suppliers:detail", incoming.supplier_id)
