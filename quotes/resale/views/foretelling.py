"""The page of what a bike should bring, and dropping rows from it."""

from __future__ import annotations

from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from quotes.resale.forms import DropForm, SupposeForm, like
from quotes.resale.models import Comparable, Dropped, Grade
from quotes.resale.pictures import price_by_age
from quotes.resale.selectors.basis import resale_for
from quotes.resale.verbs.drop import drop_comparable
from quotes.resale.verbs.take_back import take_back
from quotes.resale.wording import page_words
from workshop.bikes.models import Bike
from workshop.people.selectors import person_of
from workshop.shop.selectors import shop_of

AT_ONCE = 8
"""Rows shown open; the others stand folded beneath."""


def bike_page(request: HttpRequest, bike_id: int) -> HttpResponse:
    """Show what a bike should bring, what that rests on, and the facts beside it."""
    bike, shop = get_object_or_404(Bike, pk=bike_id), shop_of(request)
    suppose = SupposeForm(request.GET if "condition" in request.GET else None)
    grade = Grade(suppose.cleaned_data["condition"]) if suppose.is_valid() else Grade.GOOD
    if not suppose.is_bound:
        suppose = SupposeForm(initial={"condition": grade.value})
    basis = resale_for(bike, timezone.localdate(), shop, condition=grade)
    context = {
        "bike": bike,
        "basis": basis,
        "words": page_words(basis, shop),
        "chart": price_by_age(basis, shop),
        "suppose": suppose,
        "first_rows": basis.rows[:AT_ONCE],
        "other_rows": basis.rows[AT_ONCE:],
        "new_url": _new_url(bike),
    }
    return render(request, "quotes/resale/bike.html", context)


def drop(request: HttpRequest, bike_id: int, pk: int) -> HttpResponse:
    """Ask why a comparable is no guide for the bike, then leave it out."""
    bike, comparable = get_object_or_404(Bike, pk=bike_id), get_object_or_404(Comparable, pk=pk)
    form = DropForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        drop_comparable(comparable, bike, reason=form.cleaned_data["reason"], by=person_of(request))
        messages.success(request, f"{comparable} is dropped for {bike.stock_no}.")
        return redirect("resale:bike", bike.pk)
    context = {"bike": bike, "comparable": comparable, "form": form}
    status = 422 if form.errors else 200
    return render(request, "quotes/resale/drop.html", context, status=status)


def back(request: HttpRequest, bike_id: int, pk: int) -> HttpResponse:
    """Take a dropped comparable back."""
    note = get_object_or_404(
        Dropped.objects.select_related("bike", "comparable"), bike=bike_id, comparable=pk
    )
    take_back(note.comparable, note.bike)
    messages.success(request, f"{note.comparable} counts again.")
    return redirect("resale:bike", bike_id)


def _new_url(bike: Bike) -> str:
    """Return where a comparable of this bike is entered, and the way back."""
    onward = {"next": reverse("resale:bike", args=(bike.pk,))}
    return f"{reverse('resale:new')}?{urlencode(like(bike) | onward)}"
