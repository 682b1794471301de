"""Pages about bikes."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from inventory.formfields import use_currency
from inventory.history import history_of
from inventory.lists import listing, show_list
from inventory.scanning import scanned
from workshop.bikes.actions import actions_for, next_of, waits_for
from workshop.bikes.fitting import fit_of, known_of, offers_for, pad_shapes
from workshop.bikes.forms import BikeForm, already_here
from workshop.bikes.models import Bike
from workshop.bikes.panels import panels_for
from workshop.bikes.selectors import bike_for_page, bikes_for_list, sees_customers
from workshop.bikes.sizeforms import SizesForm
from workshop.bikes.tables import BikeFilter, BikeTable
from workshop.bikes.verbs.book_in import DuplicateFrameError, book_in
from workshop.bikes.verbs.change import change_bike
from workshop.bikes.verbs.measure import NothingToTakeError, measure_bike, take_over
from workshop.people.selectors import person_of
from workshop.shop.selectors import shop_of

HIDDEN_IN_HISTORY = ("frame_key", "stock_no", "photo")


def bike_list(request: HttpRequest) -> HttpResponseBase:
    """Show all bikes, searched, narrowed and sorted; a label that was scanned leads to its bike."""
    if place := scanned(request):
        return redirect(place)
    hidden = () if sees_customers(request) else ("customer",)
    context = listing(
        request, bikes_for_list(), table=BikeTable, filters=BikeFilter, exclude=hidden
    )
    return show_list(request, "workshop/bikes/list.html", context)


def new(request: HttpRequest) -> HttpResponse:
    """Book a bike in; the search for a customer while typing answers here too."""
    if "HX-Request" in request.headers:
        form = form_for(request, initial=request.GET.dict())
        return render(request, "workshop/bikes/customers.html", {"form": form})
    return edited(request, None)


def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is kept about a bike."""
    return edited(request, get_object_or_404(bike_for_page(pk)))


def edited(request: HttpRequest, bike: Bike | None) -> HttpResponse:
    """Show the form, look for customers, or save and go to the bike's page."""
    if request.method != "POST":
        first = {} if bike else {"customer": request.GET.get("customer")}
        return form_page(request, form_for(request, initial=first, instance=bike))
    if "look" in request.POST:
        form = form_for(request, initial=request.POST.dict(), instance=bike)
        looked = SizesForm(initial=without_prefix(request), prefix="size", with_rim=False)
        return form_page(request, form, looked)
    form = form_for(request, request.POST, request.FILES, instance=bike)
    sizes_form = SizesForm(request.POST, prefix="size", with_rim=False)
    valid = form.is_valid() and form.brought_by and (bike or sizes_form.is_valid())
    saved = save(request, form, bike, sizes_form) if valid else None
    return redirect("bikes:detail", saved.pk) if saved else form_page(request, form, sizes_form)


def without_prefix(request: HttpRequest) -> dict[str, Any]:
    """Return the sizes that were typed while booking in, by name."""
    typed = request.POST.dict().items()
    return {name.removeprefix("size-"): value for name, value in typed if "size-" in name}


def save(
    request: HttpRequest, form: BikeForm, bike: Bike | None, sizes_form: SizesForm
) -> Bike | None:
    """Hand a valid form to its verb; None, with the error in the form, where that refuses."""
    given = form.facts() | {"customer": form.brought_by, "photo": form.cleaned_data["photo"]}
    try:
        if bike is None:
            with transaction.atomic():
                saved = book_in(by=person_of(request), **given)
                measure_bike(saved, sizes_form.sizes())
            messages.success(request, f"Booked in as {saved.stock_no}.{like_words(saved)}")
        else:
            saved = change_bike(Bike.objects.get(pk=bike.pk), **given)
            messages.success(request, f"{saved.stock_no} is saved.")
    except DuplicateFrameError as error:
        form.add_error("frame_number", already_here(error.bike))
        return None
    return saved


def like_words(bike: Bike) -> str:
    """Return that a bike of the same model tells sizes, or nothing."""
    offers = offers_for(bike)
    if not offers:
        return ""
    like = offers[0].bike.stock_no
    return (
        f" {like} is the same model: take its sizes over below, so that the right parts are quoted."
    )


def form_for(request: HttpRequest, *args: Any, **kwargs: Any) -> BikeForm:
    """Return the form, its prices in the shop's currency."""
    form = BikeForm(*args, **kwargs)
    shop = shop_of(request)
    use_currency(form, shop.currency, shop.locale)
    return form


def form_page(
    request: HttpRequest, form: BikeForm, sizes_form: SizesForm | None = None
) -> HttpResponse:
    """Show the form, with 422 where something in it is wrong; a new bike’s sizes are asked too."""
    bike = form.instance if form.instance.pk else None
    context: dict[str, Any] = {"form": form, "bike": bike}
    wrong = bool(form.errors)
    if bike is None:
        asked = sizes_form or SizesForm(prefix="size", with_rim=False)
        context |= {"sizes_form": asked, "pad_shapes": pad_shapes()}
        wrong = wrong or asked.wrong
    return render(request, "workshop/bikes/form.html", context, status=422 if wrong else 200)


def sizes(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the sizes of a bike that decide which parts fit it, and keep what is measured."""
    bike = get_object_or_404(bike_for_page(pk))
    typed = request.POST if request.method == "POST" else None
    form = SizesForm(typed, instance=fit_of(bike))
    if typed is not None and form.is_valid():
        measure_bike(bike, form.sizes())
        messages.success(request, f"The sizes of {bike.stock_no} are kept.")
        return redirect("bikes:detail", pk)
    kept = fit_of(bike)
    context = {
        "bike": bike,
        "form": form,
        "known": known_of(kept),
        "offers": offers_for(bike),
        "pad_shapes": pad_shapes(),
        "history": history_of(kept, shop_of(request), hide=("bike",)) if kept.pk else (),
    }
    wrong = 422 if form.errors else 200
    return render(request, "workshop/bikes/sizes.html", context, status=wrong)


@require_POST
def sizes_taken(request: HttpRequest, pk: int, other: int) -> HttpResponse:
    """Take over from a like bike the sizes that are not known of this one."""
    bike, like = get_object_or_404(Bike, pk=pk), get_object_or_404(Bike, pk=other)
    try:
        take_over(bike, like)
    except NothingToTakeError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Sizes taken over from {like.stock_no}. Check one of them.")
    return redirect("bikes:sizes", pk)


def detail(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a bike: its facts, what is to be done next, what other rooms know of it."""
    bike = get_object_or_404(bike_for_page(pk))
    panels = panels_for(request, bike)
    actions = actions_for(request, bike, panels)
    price_hidden = () if sees_asking_price(request) else ("asking_price",)
    context = {
        "bike": bike,
        "actions": actions,
        "next_action": next_of(bike, actions),
        "waits_for": waits_for(bike),
        "panels": [(panel, panel.html(request)) for panel in panels],
        "sizes": known_of(fit_of(bike)),
        "offers": offers_for(bike),
        "history": history_of(bike, shop_of(request), hide=HIDDEN_IN_HISTORY + price_hidden),
        "sees_asking_price": sees_asking_price(request),
        "sees_customer": sees_customers(request),
    }
    return render(request, "workshop/bikes/detail.html", context)


def photo(request: HttpRequest, pk: int) -> FileResponse:
    """Send a bike's photo."""
    bike = get_object_or_404(Bike, pk=pk)
    try:
        return FileResponse(
            bike.photo.open(), content_type="image/jpeg", headers={"Cache-Control": "private"}
        )
    except (ValueError, FileNotFoundError) as error:
        raise Http404("There is no photo of this bike.") from error


def sees_asking_price(request: HttpRequest) -> bool:
    """Tell whether the person may see what the seller asks, which is a cost to the shop."""
    return sees_customers(request) or person_of(request).may_see_costs(shop_of(request))
