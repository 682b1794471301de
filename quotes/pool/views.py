"""Pages of the pool: its periods, one of them, entering, taking back, declaring, setting up."""

from __future__ import annotations

import datetime as dt

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from quotes.pool.forms import EntryForm, PoolForm, ReverseForm
from quotes.pool.models import EntryKind, Pool, PoolEntry
from quotes.pool.selectors import (
    PoolPage,
    current_pool,
    entries_in,
    legend_on,
    pool_page,
    rule_on,
)
from quotes.pool.verbs.declare import declare
from quotes.pool.verbs.enter import AboveLimitError, enter
from quotes.pool.verbs.join import join_pool
from quotes.pool.verbs.locking import PoolError
from quotes.pool.verbs.reverse import reverse_entry
from workshop.people.selectors import person_of
from workshop.posting import form_page, posted
from workshop.shop.selectors import shop_of


def overview(request: HttpRequest) -> HttpResponse:
    """Show the periods of the pool, or what it is where the shop has none."""
    pool, today = current_pool(), timezone.localdate()
    page = pool_page(pool, shop_of(request), today) if pool else None
    rule = page.rule if page else rule_on(today)
    context = {"page": page, "rule": rule, "legend": legend_on(today)}
    return render(request, "quotes/pool/overview.html", context)


def period(request: HttpRequest, starts_on: dt.date) -> HttpResponse:
    """Show how a period comes to its VAT, and its entries."""
    view = page_or_404(request).period_from(starts_on)
    if view is None:
        raise Http404("There is no period that begins on that day.")
    context = {"view": view, "result": view.result, "entries": list(entries_in(view.period))}
    return render(request, "quotes/pool/period.html", context)


def enter_page(request: HttpRequest) -> HttpResponse:
    """Enter what came into the pool or went out of it."""
    page = page_or_404(request)
    asked = request.GET.get("kind", EntryKind.PURCHASE)
    first = {"date": timezone.localdate(), "kind": asked, "stock_no": request.GET.get("bike", "")}
    form = EntryForm(posted(request), initial=first, shop=shop_of(request))
    if request.method == "POST" and form.is_valid() and entered(request, form):
        return redirect("pool:overview")
    context = {"page": page}
    return form_page(request, "quotes/pool/enter.html", form, context)


def entered(request: HttpRequest, form: EntryForm) -> bool:
    """Hand a valid form to its verb; False, with the error in the form, where that refuses."""
    try:
        made = enter(by=person_of(request), shop=shop_of(request), **form.values())
    except AboveLimitError as error:
        form.add_error("prices", str(error))
        return False
    except PoolError as error:
        form.add_error(None, str(error))
        return False
    words = made[0].get_kind_display()
    what = form.values()["description"]
    pieces = f", {len(made)} pieces" if len(made) > 1 else ""
    messages.success(request, f"Entered as {words}: {what}{pieces}.")
    return True


def reverse_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Take an entry back, with a reason."""
    entry = get_object_or_404(PoolEntry.objects.select_related("bike"), pk=pk)
    form = ReverseForm(posted(request))
    if request.method == "POST" and form.is_valid():
        try:
            reverse_entry(entry, by=person_of(request), **form.cleaned_data)
        except PoolError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"Taken back: {entry.description}.")
            return redirect("pool:overview")
    return form_page(request, "quotes/pool/reverse.html", form, {"entry": entry})


@require_POST
def declare_period(request: HttpRequest, starts_on: dt.date) -> HttpResponse:
    """Keep a period as declared."""
    try:
        kept = declare(starts_on, by=person_of(request), shop=shop_of(request))
    except PoolError as error:
        messages.error(request, str(error))
        return redirect("pool:overview")
    messages.success(request, "Declared: the period is kept as it is.")
    return redirect("pool:period", kept.starts_on)


def set_up(request: HttpRequest) -> HttpResponse:
    """Set the pool up, or change how its periods run."""
    form = PoolForm(posted(request), instance=current_pool() or Pool(pk=1))
    if request.method == "POST" and form.is_valid():
        try:
            join_pool(**form.cleaned_data)
        except PoolError as error:
            form.add_error(None, str(error))
        except ValidationError as error:
            form.add_error(None, error.messages)
        else:
            messages.success(request, "The pool is set up.")
            return redirect("pool:overview")
    return form_page(request, "quotes/pool/set_up.html", form, {})


def page_or_404(request: HttpRequest) -> PoolPage:
    """Return the pool's page.

    Raises:
        Http404: the shop does not pool.
    """
    pool = current_pool()
    if pool is None:
        raise Http404("The shop does not use global accounting yet.")
    return pool_page(pool, shop_of(request), timezone.localdate())
