"""Pages on which an order runs its course: goods in, ending it, opening it again."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.forms import EndForm, ReceiveForm
from inventory.purchasing.models import Delivery
from inventory.purchasing.verbs.close import close
from inventory.purchasing.verbs.receive import receive
from inventory.purchasing.verbs.reopen import reopen
from inventory.purchasing.views import page_of
from inventory.stock.views import person, posted, sees_costs, shop


def goods_in(request: HttpRequest, pk: int) -> HttpResponse:
    """Book in what came of an order; the same form sent twice books once."""
    page = page_of(pk)
    order = page.order
    key = request.POST.get("key", "")
    again = request.method == "POST" and Delivery.objects.filter(order=order, key=key).exists()
    if again or not order.is_open:
        return redirect("purchasing:order", pk)
    form = ReceiveForm(
        posted(request),
        page=page,
        sees_costs=sees_costs(request),
        currency=shop(request).currency,
        locale=shop(request).locale,
    )
    if request.method == "POST" and form.is_valid():
        try:
            receive(
                order,
                form.came(),
                form.delivery(),
                by=person(request),
                key=form.cleaned_data["key"],
            )
        except PurchaseError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"Booked in: what came of {order.number}.")
            return redirect("purchasing:order", pk)
    context = {"form": form, "page": page, "order": order}
    status = 422 if form.errors else 200
    return render(request, "inventory/purchasing/goods_in.html", context, status=status)


def end(request: HttpRequest, pk: int) -> HttpResponse:
    """Close an order of which the rest will not come, or cancel it."""
    page = page_of(pk)
    if not page.order.is_open:
        return redirect("purchasing:order", pk)
    form = EndForm(posted(request))
    if request.method == "POST" and form.is_valid():
        try:
            ended = close(page.order, reason=form.cleaned_data["reason"], by=person(request))
        except PurchaseError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{ended.number} is {ended.get_state_display()}.")
            return redirect("purchasing:order", pk)
    context = {"form": form, "page": page, "order": page.order}
    status = 422 if form.errors else 200
    return render(request, "inventory/purchasing/end.html", context, status=status)


@require_POST
def open_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Open an order again of which goods were taken back."""
    try:
        opened = reopen(page_of(pk).order, by=person(request))
        messages.success(request, f"{opened.number} is {opened.get_state_display()} again.")
    except PurchaseError as error:
        messages.warning(request, str(error))
    return redirect("purchasing:order", pk)
