"""Pages for the books: what the stock is worth, what lies dead, what is used most, the method."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from inventory.stock.forms import MethodForm, ReportForm
from inventory.stock.models import StockSettings
from inventory.stock.selectors import dead_stock, used_most, worth_on
from inventory.stock.verbs.choose_method import choose_method

YEAR = 365
HALF_YEAR = 180


def report(request: HttpRequest) -> HttpResponse:
    """Show the stock's value at the end of a day, dead stock, and the parts used most."""
    today = timezone.localdate()
    usual: dict[str, Any] = {"day": today, "days": HALF_YEAR}
    form = ReportForm(request.GET or usual, initial=usual)
    asked = form.cleaned_data if form.is_valid() else usual
    total, dearest = worth_on(asked["day"])
    context = {
        "form": form,
        "asked": asked,
        "total": total,
        "dearest": dearest,
        "dead": dead_stock(asked["days"]),
        "used": used_most(asked["day"] - dt.timedelta(days=YEAR), asked["day"]),
        "settings": StockSettings.objects.filter(pk=1).first() or StockSettings(),
    }
    return render(
        request, "inventory/stock/report.html", context, status=422 if form.errors else 200
    )


def method(request: HttpRequest) -> HttpResponse:
    """Choose how draws are costed."""
    now = StockSettings.objects.filter(pk=1).first() or StockSettings()
    form = MethodForm(
        request.POST if request.method == "POST" else None, initial={"method": now.method}
    )
    if request.method == "POST" and form.is_valid():
        by: Any = request.user
        differing = choose_method(form.cleaned_data["method"], by=by)
        messages.success(request, f"Saved. The value of {differing} parts is another now.")
        return redirect("stock:report")
    status = 422 if form.errors else 200
    return render(request, "inventory/stock/method.html", {"form": form}, status=status)
