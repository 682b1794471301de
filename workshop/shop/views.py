"""The page about the shop."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from inventory.history import history_of
from workshop.people.policy import allowed
from workshop.people.selectors import person_of
from workshop.shop.forms import ShopForm
from workshop.shop.selectors import current_shop


def edit(request: HttpRequest) -> HttpResponse:
    """Show the shop; the manager changes it, who only reads sees it closed."""
    read_only = not allowed(person_of(request).role, "shop:edit", "POST")
    form = ShopForm(request.POST or None, instance=current_shop(), read_only=read_only)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "The shop is saved.")
        return redirect("shop:edit")
    kept = current_shop()
    context = {
        "form": form,
        "read_only": read_only,
        "history": () if kept._state.adding else history_of(kept, kept),  # noqa: SLF001
    }
    return render(request, "workshop/shop/edit.html", context, status=422 if form.errors else 200)
