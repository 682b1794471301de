"""The cheapest plan for a draft: looking at it, taking it, setting remedies by hand."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_POST, require_safe

from quotes.core.pricing import PricingError
from quotes.planning.forms import LockForm, remedies_for
from quotes.planning.models import LockKind, PlanLock
from quotes.planning.plans import plan_for
from quotes.planning.verbs.lock import lock_remedy
from quotes.planning.verbs.take import CannotTakeError, take_plan
from quotes.planning.verbs.unlock import unlock
from quotes.quoting.models import FrozenError, QuotedFinding, Revision
from quotes.quoting.verbs.reprice import CannotPriceError
from workshop.core.access import AccessError
from workshop.people.selectors import person_of, sees_costs
from workshop.shop.selectors import shop_of

COST, PRICE = "cost", "price"


def _revision(number: str, revision: int) -> Revision:
    rows = Revision.objects.select_related("quote__bike", "quote__inspection")
    return get_object_or_404(rows, quote__number=number, number=revision)


def _by_cost(request: HttpRequest) -> bool:
    """Tell what is to be least; the shop's cost only for those who may see it."""
    asked = request.POST.get("by") or request.GET.get("by")
    return sees_costs(request) and asked != PRICE


def _address(row: Revision, *, by_cost: bool) -> str:
    page = reverse("planning:plan", args=(row.quote.number, row.number))
    return f"{page}?{urlencode({'by': COST if by_cost else PRICE})}"


@require_safe
def plan(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Show the cheapest plan of a draft."""
    row = _revision(number, revision)
    if not row.is_draft:
        messages.info(request, f"{row} has been issued: a plan is made for a draft.")
        return redirect("quoting:revision", number, revision)
    context: dict[str, Any] = {"revision": row, "quote": row.quote, "bike": row.quote.bike}
    try:
        context["page"] = plan_for(row, shop_of(request), by_cost=_by_cost(request))
    except (PricingError, AccessError) as error:
        context["error"] = str(error)
    return render(request, "quotes/planning/plan.html", context)


@require_POST
def take(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Take the plan that was looked at into the draft."""
    row, by_cost = _revision(number, revision), _by_cost(request)
    try:
        taken = take_plan(
            row,
            shop_of(request),
            by_cost=by_cost,
            amount=_amount(request.POST.get("amount", "")),
            by=person_of(request),
        )
    except (CannotTakeError, CannotPriceError, FrozenError, PricingError, AccessError) as error:
        messages.error(request, str(error))
        return redirect(_address(row, by_cost=by_cost))
    count = len(taken.choices)
    noun = "finding has" if count == 1 else "findings have"
    messages.success(request, f"The plan is taken: {count} {noun} another remedy now.")
    return redirect("quoting:revision", number, revision)


def _amount(text: str) -> Decimal:
    """Return the amount that the page sent along; none matches one that is no number."""
    try:
        return Decimal(text)
    except InvalidOperation:
        return Decimal(-1)


def lock(request: HttpRequest, number: str, revision: int, pk: int) -> HttpResponse:
    """Ask how a finding is to be cured, and why, then keep it."""
    row = _revision(number, revision)
    finding = get_object_or_404(
        QuotedFinding.objects.select_related("finding"), revision=row, pk=pk
    )
    finding.revision = row
    remedies = remedies_for(finding.finding.fault_id)
    form = LockForm(request.POST or None, remedies=remedies, initial={"remedy": finding.remedy_id})
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            lock_remedy(
                finding,
                data["remedy"],
                LockKind(data["kind"]),
                reason=data["reason"],
                by=person_of(request),
            )
        except FrozenError as error:
            form.add_error(None, str(error))
        else:
            return redirect(_address(row, by_cost=_by_cost(request)))
    context = {
        "revision": row,
        "quote": row.quote,
        "finding": finding,
        "form": form,
        "back": _address(row, by_cost=_by_cost(request)),
    }
    status = 422 if form.errors else 200
    return render(request, "quotes/planning/lock.html", context, status=status)


@require_POST
def unlocked(request: HttpRequest, number: str, revision: int, pk: int) -> HttpResponse:
    """Take a lock off."""
    row = _revision(number, revision)
    found = get_object_or_404(
        PlanLock, pk=pk, finding__check_made__inspection=row.quote.inspection_id
    )
    try:
        unlock(found, row, by=person_of(request))
    except FrozenError as error:
        messages.error(request, str(error))
    return redirect(_address(row, by_cost=_by_cost(request)))
