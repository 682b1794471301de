"""Pages that put right what stands in the stock book: a purchase reversed, a price reduced."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone

from quotes.sales.errors import SalesError
from quotes.sales.forms import ReduceForm, ReverseForm
from quotes.sales.selectors.left import left_of
from quotes.sales.selectors.listing import purchases_for_page, sales_for_page
from quotes.sales.selectors.reversing import reasons_not_to_reverse
from quotes.sales.verbs.reduce import reduce_price
from quotes.sales.verbs.reverse import reverse_purchase
from workshop.people.selectors import person_of
from workshop.posting import form_page, posted
from workshop.shop.selectors import shop_of


def reduce_page(request: HttpRequest, number: str) -> HttpResponse:
    """Pay part of a sale back by a credit note; the bike stays sold."""
    sale = get_object_or_404(sales_for_page(), number=number)
    shop = shop_of(request)
    form = ReduceForm(
        posted(request), sale=sale, shop=shop, initial={"reduced_on": timezone.localdate()}
    )
    if request.method == "POST" and form.is_valid():
        try:
            note = reduce_price(sale, form.paid_back(), by=person_of(request), shop=shop)
        except SalesError as error:
            form.add_error(None, list(error.reasons))
        else:
            messages.success(request, f"Paid back: credit note {note}.")
            return redirect("sales:row", sale.purchase.number)
    context = {"sale": sale, "bike": sale.purchase.bike, "left": left_of(sale)}
    return form_page(request, "quotes/sales/reduce.html", form, context)


def reverse_page(request: HttpRequest, number: str) -> HttpResponse:
    """Reverse a purchase that was entered wrongly, or say what stands in the way."""
    purchase = get_object_or_404(purchases_for_page(), number=number)
    form = ReverseForm(posted(request))
    if request.method == "POST" and form.is_valid():
        try:
            made = reverse_purchase(purchase, by=person_of(request), **form.cleaned_data)
        except SalesError as error:
            form.add_error(None, list(error.reasons))
        else:
            messages.success(request, f"{purchase} is reversed.")
            if made.still_bought:
                return redirect("sales:buy", purchase.bike_id)
            return redirect("sales:row", purchase.number)
    context = {
        "purchase": purchase,
        "bike": purchase.bike,
        "reasons": reasons_not_to_reverse(purchase),
    }
    return form_page(request, "quotes/sales/reverse.html", form, context)
