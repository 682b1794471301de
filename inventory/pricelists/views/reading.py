"""The page of a list: how far it is read, then what it changes."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render

from inventory.core.sheets import SheetError
from inventory.lists import listing, show_list
from inventory.pricelists import selectors
from inventory.pricelists.forms import ApplyForm
from inventory.pricelists.models import Difference, Incoming, State
from inventory.pricelists.tables import ChangedTable, NewTable, ProblemTable, VanishedTable
from inventory.pricelists.verbs.read_on import read_on
from inventory.pricelists.verbs.settle import NotOpenError, read_anew

PROGRESS = "inventory/pricelists/progress.html"


def page(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Show where a list stands."""
    incoming = get_object_or_404(selectors.incoming_for_list(), pk=pk)
    if incoming.state == State.SENT:
        return redirect("pricelists:columns", pk)
    return list_page(request, incoming, ApplyForm(incoming=incoming))


def list_page(
    request: HttpRequest, incoming: Incoming, form: ApplyForm, status: int = 200
) -> HttpResponseBase:
    """Render the page with the rows of the kind that is asked for."""
    context: dict[str, Any] = {"incoming": incoming, "form": form}
    if incoming.state in {State.READ, State.STUCK}:
        shown = request.GET.get("show", "") or selectors.first_tab(incoming)
        context |= table_of(request, incoming, shown)
        context["tabs"] = selectors.tabs_of(incoming, shown)
        context["outdated"] = selectors.is_outdated(incoming)
    return show_list(request, "inventory/pricelists/page.html", context, status=status)


def table_of(request: HttpRequest, incoming: Incoming, shown: str) -> dict[str, Any]:
    """Return the context of the list of rows that are shown."""
    money = {
        "currency": incoming.supplier.currency,
        "locale": request.shop.locale,  # type: ignore[attr-defined] # the layer above sets it
    }
    if shown == selectors.WRONG:
        return listing(request, incoming.problems.all(), table=ProblemTable)
    if shown == selectors.VANISHED:
        return listing(request, selectors.vanished_rows(incoming), table=VanishedTable, **money)
    rows = selectors.rows_of(incoming, shown)
    table = NewTable if shown == Difference.NEW else ChangedTable
    return listing(request, rows, table=table, **money)


def step(request: HttpRequest, pk: int) -> HttpResponse:
    """Read on for a while; answer with the progress, or with the page once it is read."""
    incoming = read_on(get_object_or_404(Incoming, pk=pk))
    if "HX-Request" not in request.headers:
        return redirect("pricelists:page", pk)
    if incoming.state == State.READING:
        return render(request, PROGRESS, {"incoming": incoming})
    response = HttpResponse(status=204)
    response.headers["HX-Refresh"] = "true"
    return response


def anew(request: HttpRequest, pk: int) -> HttpResponse:
    """Read a list again from its first row, against what the supplier sells now."""
    incoming = get_object_or_404(Incoming, pk=pk)
    try:
        selectors.sample_of(incoming)
        read_anew(incoming)
    except (NotOpenError, SheetError) as error:
        messages.warning(request, str(error))
    return redirect("pricelists:page", pk)
