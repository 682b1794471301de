"""The decision about a bike: live as the price slides, kept when saved, printed on one page."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.cache import patch_cache_control
from django.views.decorators.http import require_safe

from inventory.paper.showing import shown_pdf
from quotes.buyin.outcome import VERDICTS
from quotes.deciding.basis import Ground, ground_of
from quotes.deciding.figures import Figures
from quotes.deciding.forms import WeighForm, opening_figures
from quotes.deciding.selectors import sheet_for_page
from quotes.deciding.sheet import sheet_pdf
from quotes.deciding.verbs.keep import keep_decision
from quotes.deciding.weighing import weigh
from workshop.bikes.models import Bike
from workshop.people.selectors import person_of
from workshop.shop.selectors import shop_of

ROUND = Decimal(50)


@dataclass(frozen=True, slots=True)
class Slider:
    """How far the slider for the price goes, in whole units of the currency."""

    top: int
    step: int = 5


def decision(request: HttpRequest, bike_id: int) -> HttpResponse:
    """Weigh the figures in the address; keep them when they are posted."""
    bike = get_object_or_404(Bike.objects.select_related("customer"), pk=bike_id)
    ground = ground_of(bike, shop_of(request), timezone.localdate())
    if request.method == "POST":
        return _save(request, ground)
    if request.GET:
        form = WeighForm(request.GET, ground=ground)
        return _page(request, ground, form, form if form.is_valid() else None)
    figures = opening_figures(ground)
    shown = WeighForm(figures, ground=ground)
    form = WeighForm(initial=figures, ground=ground)
    return _page(request, ground, form, shown if shown.is_valid() else None)


def _save(request: HttpRequest, ground: Ground) -> HttpResponse:
    form = WeighForm(request.POST, ground=ground)
    if not form.is_valid():
        return _page(request, ground, form, None)
    sheet = keep_decision(weigh(form.asked(), ground), ground, person_of(request))
    if "print" in request.POST:
        return redirect("buyin:sheet", sheet.check_made_id)
    messages.success(request, "The decision sheet is saved.")
    return redirect("buyin:detail", sheet.check_made_id)


def _page(
    request: HttpRequest, ground: Ground, form: WeighForm, valid: WeighForm | None
) -> HttpResponse:
    """Show the page, or for a change in place what the figures come to alone."""
    figures = weigh(valid.asked(), ground) if valid else None
    context = {
        "ground": ground,
        "basis": ground.basis,
        "bike": ground.bike,
        "form": form,
        "kept_form": WeighForm(
            form.data if form.is_bound else None, initial=form.initial, ground=ground, auto_id=False
        ),
        "slider": _slider(ground, figures),
        "figures": figures,
        **_shown(figures),
    }
    in_place = "HX-Request" in request.headers
    template = "quotes/deciding/in_place.html" if in_place else "quotes/deciding/decision.html"
    return render(request, template, context, status=422 if form.errors else 200)


def _shown(figures: Figures | None) -> dict[str, Any]:
    """Return the verdict's word and kind as the page shows them."""
    if figures is None:
        return {}
    word, kind = VERDICTS[figures.word]
    return {"word": word, "kind": kind}


def _slider(ground: Ground, figures: Figures | None) -> Slider:
    """Return a slider that holds twice the price asked and the resale price."""
    ends = [2 * (ground.bike.asking_price or Decimal(0)), ROUND]
    if figures:
        ends += [figures.given.price, figures.given.resale]
    return Slider(int((max(ends) / ROUND).to_integral_value(ROUND_CEILING) * ROUND))


@require_safe
def kept(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a decision sheet as it was saved."""
    sheet = sheet_for_page(pk)
    context = {
        "sheet": sheet.row,
        "row": sheet.row.check_made,
        "bike": sheet.row.check_made.bike,
        "figures": sheet.figures,
        **_shown(sheet.figures),
    }
    return render(request, "quotes/deciding/kept.html", context)


@require_safe
def sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """Print a decision sheet that was saved, on one page."""
    found = sheet_for_page(pk)
    response = shown_pdf(
        sheet_pdf(found, shop_of(request)), f"{found.row.check_made.bike.stock_no}-decision.pdf"
    )
    patch_cache_control(response, private=True, no_store=True)
    return response
