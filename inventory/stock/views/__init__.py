"""Pages of stock: the list, a part, what comes and goes, what it fits."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

from django import forms
from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.views.decorators.http import require_POST

from inventory.core.fitting import Facts, Fit, does_it_fit
from inventory.formfields import use_currency
from inventory.lists import listing, show_list
from inventory.parts.models import FitFacts, Part
from inventory.parts.sizes import other_sizes
from inventory.scanning import scanned
from inventory.search.choosing import parts_offered
from inventory.shopfacts import BikeTold, shop_facts
from inventory.stock.errors import StockError
from inventory.stock.forms import (
    MOVES,
    UNDOABLE,
    BikeFactsForm,
    FitForm,
    MoveForm,
    ReverseForm,
    StockFiguresForm,
)
from inventory.stock.models import Reservation, StockMovement
from inventory.stock.panels import panels_of
from inventory.stock.selectors import part_of_code, part_page, parts_for_list
from inventory.stock.tables import PartFilter, PartTable
from inventory.stock.verbs.release import release
from inventory.stock.verbs.reverse import reverse_movement


def person(request: HttpRequest) -> Any:  # noqa: ANN401 - people are of the layer above
    """Return who is signed in."""
    return request.user


def shop(request: HttpRequest) -> Any:  # noqa: ANN401 - the shop is of the layer above
    """Return the shop."""
    return request.shop  # type: ignore[attr-defined]


def sees_costs(request: HttpRequest) -> bool:
    """Tell whether the shop's costs may be shown to the person."""
    return bool(person(request).may_see_costs(shop(request)))


def posted(request: HttpRequest) -> QueryDict | None:
    """Return what was sent, even where that is nothing; None where nothing was."""
    return request.POST if request.method == "POST" else None


def answer(
    request: HttpRequest, template: str, form: forms.BaseForm, context: dict[str, Any]
) -> HttpResponse:
    """Show a form, with 422 where something in it is wrong."""
    status = 422 if form.errors else 200
    return render(
        request, f"inventory/stock/{template}.html", context | {"form": form}, status=status
    )


def part_list(request: HttpRequest) -> HttpResponseBase:
    """Show all parts with their levels; a code that was scanned leads to what it stands for."""
    found = part_of_code(request.GET.get("q", ""))
    if found is not None:
        return redirect("stock:part", found.pk)
    if place := scanned(request):
        return redirect(place)
    hidden = () if sees_costs(request) else ("worth",)
    context = listing(
        request, parts_for_list(), table=PartTable, filters=PartFilter, exclude=hidden
    )
    return show_list(request, "inventory/stock/list.html", context)


def offers(request: HttpRequest) -> HttpResponse:
    """Offer parts to whoever is writing one; the text comes under the name of its field."""
    text = str(next(iter(request.GET.values()), ""))
    parts = parts_offered(text) if len(text.strip()) > 1 else []
    return render(request, "components/part_options.html", {"parts": parts})


def part(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a part: how many there are, what came and went, what it fits."""
    page = part_page(get_object_or_404(Part, pk=pk))
    moves = [(slug, form.title) for slug, form in MOVES.items()]
    context = {
        "page": page,
        "part": page.part,
        "moves": moves,
        "undoable": UNDOABLE,
        "panels": [
            render_to_string(each.template, each.context, request) for each in panels_of(page.part)
        ],
    }
    return render(request, "inventory/stock/part.html", context)


def move(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Book what comes in or goes out, by the form of its kind."""
    if kind not in MOVES:
        raise Http404("Nothing of that kind is booked here.")
    found = get_object_or_404(Part, pk=pk)
    form = MOVES[kind](posted(request), part=found, sees_costs=sees_costs(request))
    use_currency(form, shop(request).currency, shop(request).locale)
    if request.method == "POST" and form.is_valid() and booked(request, form):
        return redirect("stock:part", found.pk)
    page = part_page(found)
    return answer(request, "move", form, {"part": found, "level": page.level})


def booked(request: HttpRequest, form: MoveForm) -> bool:
    """Hand a valid form to its verb; False, with the error in the form, where that refuses."""
    try:
        form.book(person(request))
    except StockError as error:
        form.add_error(None, str(error))
        return False
    messages.success(request, f"{form.done}: {form.part.name}.")
    return True


def take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a movement back, with a reason."""
    wrong = get_object_or_404(StockMovement.objects.select_related("part", "by"), pk=pk)
    form = ReverseForm(posted(request))
    if request.method == "POST" and form.is_valid():
        try:
            reverse_movement(wrong, by=person(request), **form.cleaned_data)
        except StockError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"Taken back: {wrong}.")
            return redirect("stock:part", wrong.part_id)
    return answer(request, "take_back", form, {"movement": wrong, "part": wrong.part})


@require_POST
def free(request: HttpRequest, pk: int) -> HttpResponse:
    """Free what is reserved."""
    kept = release(get_object_or_404(Reservation, pk=pk))
    messages.success(request, f"Nothing is reserved for {kept.reference} any more.")
    return redirect("stock:part", kept.part_id)


def facts(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a part's place, minimum, numbers and facts of fit, all or nothing."""
    found = get_object_or_404(Part, pk=pk)
    fit_facts = FitFacts.objects.filter(part=found).first() or FitFacts(part=found)
    form = StockFiguresForm(posted(request), instance=found, sees_costs=sees_costs(request))
    fit_form = FitForm(posted(request), instance=fit_facts, prefix="fit")
    if request.method == "POST" and all([form.is_valid(), fit_form.is_valid()]):
        with transaction.atomic():
            form.save()
            fit_form.save()
        messages.success(request, f"{found.name} is saved.")
        return redirect("stock:part", found.pk)
    wrong = 422 if form.errors or fit_form.errors else 200
    context = {"form": form, "fit_form": fit_form, "part": found}
    return render(request, "inventory/stock/facts.html", context, status=wrong)


def fit(request: HttpRequest, pk: int) -> HttpResponse:
    """Tell whether a part fits a bike, by the bike's number or sizes measured by hand."""
    found = get_object_or_404(Part, pk=pk)
    kept = FitFacts.objects.filter(part=found).first()
    form = BikeFactsForm(request.GET or None, asked=kept)
    told: BikeTold | None = None
    result: Fit | None = None
    others: list[tuple[Part, Fit]] = []
    if request.GET and form.is_valid():
        number = form.cleaned_data["number"]
        told = shop_facts().bike(number) if number else None
        if number and told is None:
            form.add_error("number", f"There is no bike {number}. Check its number.")
        else:
            measured = form.save(commit=False).facts()
            known = with_measured(told.facts if told else Facts(), measured)
            result = does_it_fit(kept.facts() if kept else Facts(), known)
            others = other_sizes(found, known)
    context = {
        "part": found,
        "tells": bool(kept and kept.told) or found.sizes.exists(),
        "bike": told,
        "fit": result,
        "others": others,
    }
    return answer(request, "fit", form, context)


def with_measured(known: Facts, measured: Facts) -> Facts:
    """Return what is known of a bike with what was measured by hand put over it."""
    typed = {each.name: getattr(measured, each.name) for each in fields(Facts)}
    return replace(known, **{name: value for name, value in typed.items() if value})
