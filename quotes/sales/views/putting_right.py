"""Pages that put right what stands in the stock book: a purchase that is reversed."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect

from quotes.sales.errors import SalesError
from quotes.sales.forms import ReverseForm
from quotes.sales.selectors.listing import purchases_for_page
from quotes.sales.selectors.reversing import reasons_not_to_reverse
from quotes.sales.verbs.reverse import reverse_purchase
from workshop.people.selectors import person_of
from workshop.posting import form_page, posted


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
