"""The margin check of a bike, what was saved of it, and the decision."""

from __future__ import annotations

from decimal import Decimal

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inventory.lists import listing, show_list
from quotes.buyin.basis import Basis, basis_of
from quotes.buyin.forms import DecisionForm, MarginForm, first_figures
from quotes.buyin.models import Decision, MarginCheck
from quotes.buyin.outcome import VERDICTS, Outcome, outcome_of
from quotes.buyin.selectors import CheckPage, check_for_page, checks_for_list
from quotes.buyin.tables import CheckFilter, CheckTable
from quotes.buyin.verbs.decide import DecisionError, decide
from quotes.buyin.verbs.save import save_check
from quotes.resale.selectors import resale_for
from workshop.bikes.models import Bike
from workshop.bikes.verbs.stages import StageError
from workshop.people.selectors import person_of
from workshop.shop.selectors import shop_of

AFTERWARDS = {Decision.BUY: "sales:buy", Decision.LEAVE: "bikes:detail"}
"""Where a decision leads: what was bought is entered in the stock book."""


@require_safe
def check_list(request: HttpRequest) -> HttpResponseBase:
    """Show the checks that were saved."""
    context = listing(
        request, checks_for_list(), table=CheckTable, filters=CheckFilter, shop=shop_of(request)
    )
    return show_list(request, "quotes/buyin/list.html", context)


def check(request: HttpRequest, bike_id: int) -> HttpResponse:
    """Work out what the figures in the address come to; keep them when they are posted."""
    bike = get_object_or_404(Bike.objects.select_related("customer"), pk=bike_id)
    basis = basis_of(bike, shop_of(request))
    if request.method != "POST":
        return _worked_out(request, basis)
    form = MarginForm(request.POST, shop=basis.shop)
    if not form.is_valid():
        return _page(request, basis, form, None)
    saved = save_check(form.given(), basis, person_of(request))
    messages.success(request, "The margin check is saved.")
    return redirect("buyin:detail", saved.pk)


def _worked_out(request: HttpRequest, basis: Basis) -> HttpResponse:
    """Show the form with what its figures come to; nothing is kept."""
    if request.GET:
        form = MarginForm(request.GET, shop=basis.shop)
    else:
        figures = first_figures(basis, _by_comparables(basis))
        form = MarginForm(initial=figures, shop=basis.shop)
        shown = MarginForm(figures, shop=basis.shop)
        if shown.is_valid():
            return _page(request, basis, form, outcome_of(shown.given(), basis))
    given = form.given() if form.is_bound and form.is_valid() else None
    return _page(request, basis, form, outcome_of(given, basis) if given else None)


def _by_comparables(basis: Basis) -> Decimal | None:
    """Return what like bikes tell of the resale price, where no check of this one does."""
    if basis.last:
        return None
    return resale_for(basis.bike, timezone.localdate(), basis.shop).resale.likely


def _page(
    request: HttpRequest, basis: Basis, form: MarginForm, outcome: Outcome | None
) -> HttpResponse:
    """Show the page, or for a change in place what the figures come to alone."""
    context = {
        "basis": basis,
        "bike": basis.bike,
        "form": form,
        "kept_form": MarginForm(
            form.data if form.is_bound else None,
            initial=form.initial,
            shop=basis.shop,
            auto_id=False,
        ),
        "outcome": outcome,
    }
    in_place = "HX-Request" in request.headers
    template = "quotes/buyin/outcome.html" if in_place else "quotes/buyin/check.html"
    return render(request, template, context, status=422 if form.errors else 200)


@require_safe
def detail(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a saved check as it was worked out."""
    return _detail(request, check_for_page(pk, shop_of(request)), DecisionForm())


@require_POST
def decide_on(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep the decision and move the bike."""
    row = get_object_or_404(MarginCheck.objects.select_related("bike"), pk=pk)
    form = DecisionForm(request.POST)
    if form.is_valid():
        decision = Decision(form.cleaned_data["decision"])
        try:
            decide(row, decision, note=form.cleaned_data["note"], by=person_of(request))
        except (DecisionError, StageError) as error:
            form.add_error(None, str(error))
        else:
            done = "bought in" if decision == Decision.BUY else "left"
            messages.success(request, f"{row.bike.stock_no} is {done}.")
            return redirect(AFTERWARDS[decision], row.bike_id)
    return _detail(request, check_for_page(pk, shop_of(request)), form)


def _detail(request: HttpRequest, page: CheckPage, form: DecisionForm) -> HttpResponse:
    """Show a saved check with the form to decide."""
    word, kind = VERDICTS[page.row.verdict]
    context = {"page": page, "row": page.row, "form": form, "word": word, "kind": kind}
    status = 422 if form.errors else 200
    return render(request, "quotes/buyin/detail.html", context, status=status)
