"""Pages of stocktakes: the places, the blind count of one, its differences."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from inventory.parts.models import Part
from inventory.stock.errors import StockError
from inventory.stock.forms import CountForm
from inventory.stock.models import StockCount, Stocktake
from inventory.stock.selectors import (
    closed_stocktakes,
    differences,
    part_of_code,
    places,
    to_count,
)
from inventory.stock.verbs.approve_stocktake import approve_stocktake
from inventory.stock.verbs.note_count import note_count
from inventory.stock.verbs.start_stocktake import start_stocktake


def overview(request: HttpRequest) -> HttpResponse:
    """Show the shelf places and the latest stocktakes."""
    context = {"places": places(), "closed": closed_stocktakes()}
    return render(request, "inventory/stock/stocktakes.html", context)


@require_POST
def start(request: HttpRequest) -> HttpResponse:
    """Start the count of a place."""
    by: Any = request.user
    try:
        made = start_stocktake(request.POST.get("place", ""), by=by)
    except StockError as error:
        messages.error(request, str(error))
        return redirect("stock:stocktakes")
    return redirect("stock:stocktake", made.pk)


def stocktake(request: HttpRequest, pk: int) -> HttpResponse:
    """Count what lies at a place, without seeing how many there should be."""
    found = get_object_or_404(Stocktake, pk=pk)
    form = CountForm(request.POST) if request.method == "POST" else None
    if form is not None and form.is_valid() and noted(request, found, form):
        return redirect("stock:stocktake", found.pk)
    every = rows = to_count(found)
    scanned = part_of_code(request.GET.get("q", ""))
    if request.GET.get("q"):
        rows = [each for each in rows if each[0] == scanned] or unlisted(scanned)
    context = {
        "stocktake": found,
        "rows": rows,
        "form": form,
        "typed_for": form["part"].value() if form and form.errors else "",
        "q": request.GET.get("q", ""),
        "counted": sum(1 for _, count in every if count),
        "total": len(every),
    }
    status = 422 if form and form.errors else 200
    return render(request, "inventory/stock/stocktake.html", context, status=status)


def unlisted(part: Part | None) -> list[tuple[Part, StockCount | None]]:
    """Return the row of a part that has its place elsewhere and was found here."""
    return [(part, None)] if part else []


def noted(request: HttpRequest, found: Stocktake, form: CountForm) -> bool:
    """Hand a valid count to its verb; False, with the error in the form, where that refuses."""
    by: Any = request.user
    part: Part = form.cleaned_data["part"]
    try:
        note_count(found, part, counted=form.cleaned_data["counted"], by=by)
    except StockError as error:
        form.add_error("counted", str(error))
        return False
    messages.success(request, f"Counted: {part.name}.")
    return True


def approve(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what differs; approve it."""
    found = get_object_or_404(Stocktake.objects.select_related("closed_by"), pk=pk)
    by: Any = request.user
    if request.method == "POST":
        try:
            booked = approve_stocktake(found, by=by)
        except StockError as error:
            messages.error(request, str(error))
        else:
            messages.success(request, f"Approved: {len(booked)} corrections are booked.")
            return redirect("stock:stocktakes")
    rows = differences(found)
    context = {
        "stocktake": found,
        "differing": [each for each in rows if each.quantity],
        "agreeing": sum(1 for each in rows if not each.quantity),
        "uncounted": [part for part, count in to_count(found) if count is None],
    }
    return render(request, "inventory/stock/differences.html", context)
