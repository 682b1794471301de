"""The bench board, a card's promise, and times against their standard."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from workshop.bench.board import board_of
from workshop.bench.errors import BenchError
from workshop.bench.forms import PromiseForm
from workshop.bench.promising import forecast_now
from workshop.bench.selectors import promises_kept, promises_of
from workshop.bench.times import operation_times
from workshop.bench.verbs.give_promise import give_promise
from workshop.core.promise import day_words, spread_words
from workshop.core.spread import LEAST_CASES
from workshop.jobcards.models import JobCard
from workshop.people.policy import allowed
from workshop.people.selectors import person_of
from workshop.shop.selectors import shop_of

BY_STOP = "stop"


@require_safe
@never_cache
def board(request: HttpRequest) -> HttpResponse:
    """Show the open cards by the day promised, or with ``?by=stop`` by what stops them."""
    found = board_of(forecast_now(shop_of(request)))
    by_stop = request.GET.get("by") == BY_STOP
    context = {
        "board": found,
        "rails": found.by_stop() if by_stop else found.by_day(),
        "by_stop": by_stop,
        "weeks": found.weeks(),
        "kept": promises_kept(),
        "spread": spread_words(found.forecast.spread),
    }
    return render(request, "workshop/bench/board.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def promise(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what a card's day is reckoned from, and promise the customer a day."""
    card = get_object_or_404(JobCard.objects.select_related("bike"), pk=pk)
    found = board_of(forecast_now(shop_of(request)))
    row = next((each for each in found.rows if each.card.pk == card.pk), None)
    may = allowed(person_of(request).role, "bench:promise", "POST") and row is not None
    first = {"promised_on": row.promise.day} if row else {}
    form = PromiseForm(request.POST or None, initial=first) if may else None
    if form is not None and row is not None and request.method == "POST" and form.is_valid():
        day, why = form.cleaned_data["promised_on"], form.cleaned_data["why"]
        try:
            give_promise(card, day, reckoned=row.promise, by=person_of(request), why=why)
        except BenchError as error:
            form.add_error(error.field or None, str(error))
        else:
            messages.success(request, f"{card} is promised for {day_words(day)}.")
            return redirect("bench:promise", pk)
    refused = request.method == "POST"
    context = {"card": card, "row": row, "form": form, "given": promises_of(card)}
    return render(request, "workshop/bench/promise.html", context, status=422 if refused else 200)


@require_safe
def times(request: HttpRequest) -> HttpResponse:
    """Show what operations really take beside their standard time."""
    rows = operation_times()
    context = {
        "rows": rows,
        "suggestions": sum(each.learned.suggested is not None for each in rows),
        "least": LEAST_CASES,
    }
    return render(request, "workshop/bench/times.html", context)
