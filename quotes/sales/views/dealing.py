"""Pages of one bike's row: buying it in, selling it, taking the sale back, and their papers."""

from __future__ import annotations

from django.contrib import messages
from django.db.models import Q
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.cache import patch_cache_control
from django.views.decorators.http import require_safe

from inventory.lists import listing, show_list
from inventory.paper.showing import shown_pdf
from quotes.core.margin import Scheme
from quotes.core.stockbook import scheme_bought
from quotes.provenance.selectors import checks_of, reasons_against
from quotes.sales.errors import SalesError
from quotes.sales.forms import BuyForm, ReturnForm, SellForm, first_purchase
from quotes.sales.models import Paper, Purchase
from quotes.sales.pooling import may_be_pooled
from quotes.sales.selectors.learning import learned_from, spent_so_far
from quotes.sales.selectors.left import left_of
from quotes.sales.selectors.listing import (
    purchases_for_page,
    row_page,
    rows_for_list,
    sales_for_page,
)
from quotes.sales.selectors.standing import check_to_enter, checks_to_enter, stock_of
from quotes.sales.tables import StockFilter, StockTable
from quotes.sales.verbs.buy import buy
from quotes.sales.verbs.sell import sell
from quotes.sales.verbs.take_back import take_back
from workshop.bikes.models import Bike
from workshop.people.policy import allowed
from workshop.people.selectors import person_of, sees_costs
from workshop.posting import form_page, posted
from workshop.shop.selectors import shop_of


@require_safe
def stock_list(request: HttpRequest) -> HttpResponseBase:
    """Show the shop's bikes, in stock and sold, and what is bought and not yet in the book."""
    hidden = () if sees_costs(request) else ("price",)
    context = listing(
        request,
        rows_for_list(),
        table=StockTable,
        filters=StockFilter,
        shop=shop_of(request),
        exclude=hidden,
    )
    if allowed(person_of(request).role, "sales:buy", "POST"):
        context["waiting"] = list(checks_to_enter())
    return show_list(request, "quotes/sales/list.html", context)


@require_safe
def row(request: HttpRequest, number: str) -> HttpResponse:
    """Show a row of the book: how the bike came, what was done, how it went."""
    purchase = get_object_or_404(purchases_for_page(), number=number)
    page, shop = row_page(purchase), shop_of(request)
    context = {"page": page, "purchase": purchase, "bike": purchase.bike}
    if sees_costs(request):
        standing = page.standing
        if standing is None and page.reversal is None:
            context["spent"] = spent_so_far(purchase, timezone.localdate(), shop)
        elif standing is not None:
            (context["learned"],) = learned_from([standing], shop)
    return render(request, "quotes/sales/row.html", context)


def buy_page(request: HttpRequest, bike_id: int) -> HttpResponse:
    """Enter a bike that was bought into the stock book."""
    bike, shop = (
        get_object_or_404(Bike.objects.select_related("customer"), pk=bike_id),
        shop_of(request),
    )
    check = check_to_enter(bike)
    if check is None:
        here = stock_of(bike)
        if here is not None:
            return redirect("sales:row", here.number)
        raise Http404("It has not been decided to buy this bike.")
    provenance = checks_of(bike).first()
    against = reasons_against(provenance, bike)
    scheme = scheme_bought(
        Scheme(shop.resale_scheme), registered=shop.vat_registered, vat_shown=False
    )
    form = BuyForm(
        posted(request),
        initial=first_purchase(check, provenance),
        shop=shop,
        may_pool=may_be_pooled(scheme, check.purchase_price, timezone.localdate()),
        lacks_provenance=bool(against),
    )
    if request.method == "POST" and form.is_valid():
        try:
            made = buy(check, form.bought(), by=person_of(request), shop=shop)
        except SalesError as error:
            form.add_error(None, list(error.reasons))
        else:
            messages.success(request, f"{bike.stock_no} stands in the stock book as {made}.")
            return redirect("sales:row", made.number)
    context = {"bike": bike, "check": check, "against": against}
    return form_page(request, "quotes/sales/buy.html", form, context)


def sell_page(request: HttpRequest, number: str) -> HttpResponse:
    """Sell a bike out of stock."""
    purchase = get_object_or_404(purchases_for_page(), number=number)
    page, shop = row_page(purchase), shop_of(request)
    if page.standing is not None or page.reversal is not None:
        what = f"{purchase} was reversed" if page.reversal else f"{purchase.bike.stock_no} is sold"
        messages.info(request, f"{what} already.")
        return redirect("sales:row", purchase.number)
    first = {"sold_on": timezone.localdate()}
    if "HX-Request" in request.headers:
        found = SellForm(initial=request.GET.dict(), shop=shop)
        return render(request, "workshop/bikes/customers.html", {"form": found})
    looks = "look" in request.POST
    form = SellForm(
        None if looks else posted(request), initial=first | request.POST.dict(), shop=shop
    )
    if request.method == "POST" and not looks and form.is_valid():
        try:
            sale = sell(purchase, form.sold(), by=person_of(request), shop=shop)
        except SalesError as error:
            form.add_error(None, list(error.reasons))
        else:
            messages.success(request, f"{purchase.bike.stock_no} is sold: invoice {sale}.")
            return redirect("sales:row", purchase.number)
    context = {"purchase": purchase, "bike": purchase.bike, "page": page}
    return form_page(request, "quotes/sales/sell.html", form, context)


def return_page(request: HttpRequest, number: str) -> HttpResponse:
    """Take a sale back by a credit note."""
    sale = get_object_or_404(sales_for_page(), number=number)
    form = ReturnForm(posted(request), initial={"returned_on": timezone.localdate()})
    if request.method == "POST" and form.is_valid():
        try:
            note = take_back(
                sale, by=person_of(request), shop=shop_of(request), **form.cleaned_data
            )
        except SalesError as error:
            form.add_error(None, list(error.reasons))
        else:
            messages.success(request, f"Taken back: credit note {note}.")
            return redirect("sales:row", sale.purchase.number)
    context = {"sale": sale, "bike": sale.purchase.bike, "left": left_of(sale)}
    return form_page(request, "quotes/sales/return.html", form, context)


@require_safe
def receipt(request: HttpRequest, number: str) -> HttpResponse:
    """Give the receipt of a purchase as it was made."""
    purchase = get_object_or_404(Purchase, number=number)
    return _paper(Paper.objects.filter(purchase=purchase).first(), purchase.receipt_no or "")


@require_safe
def invoice(request: HttpRequest, number: str) -> HttpResponse:
    """Give an invoice as it was made."""
    return _paper(Paper.objects.filter(sale__number=number).first(), number)


@require_safe
def credit_note(request: HttpRequest, number: str) -> HttpResponse:
    """Give a credit note as it was made, over a whole sale or part of it."""
    whole, part = Q(credit_note__number=number), Q(reduction__number=number)
    return _paper(Paper.objects.filter(whole | part).first(), number)


def _paper(kept: Paper | None, name: str) -> HttpResponse:
    """Answer with a paper's bytes.

    Raises:
        Http404: there is none, or retention has deleted it.
    """
    if kept is None:
        raise Http404(
            "There is no such paper, or it has been deleted as the rules of retention ask."
        )
    response = shown_pdf(bytes(kept.pdf), f"{name}.pdf")
    patch_cache_control(response, private=True, no_store=True)
    return response
