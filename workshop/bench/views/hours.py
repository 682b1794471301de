"""Hours at the bench, absences, closed days, and how promises are made."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from workshop.bench.calendar import settings_now
from workshop.bench.errors import BenchError
from workshop.bench.forms import AbsenceForm, HoursForm, SettingsForm, SpecialDayForm
from workshop.bench.models import Absence, BenchPerson, SpecialDay
from workshop.bench.selectors import hours_page
from workshop.bench.verbs.set_hours import set_hours
from workshop.people.models import User
from workshop.shop.selectors import shop_of

form_methods = require_http_methods(["GET", "HEAD", "POST"])


@require_safe
def hours(request: HttpRequest) -> HttpResponse:
    """Show everybody's week, who is away, and what is closed."""
    return render(request, "workshop/bench/hours.html", {"page": hours_page(shop_of(request))})


@form_methods
def person(request: HttpRequest, user_id: int) -> HttpResponse:
    """Change a person's week."""
    user = get_object_or_404(User, pk=user_id)
    at_bench = BenchPerson.objects.filter(user=user).prefetch_related("hours").first()
    form = HoursForm(request.POST or None, person=at_bench)
    if request.method == "POST" and form.is_valid():
        try:
            set_hours(user, form.hours(), bench_share=form.cleaned_data["bench_share"])
        except BenchError as error:
            form.add_error(error.field or None, str(error))
        else:
            messages.success(request, f"The hours of {user} are saved.")
            return redirect("bench:hours")
    context = {"form": form, "person": user, "at_bench": at_bench}
    return render(request, "workshop/bench/person.html", context, status=status_of(form))


@form_methods
def away(request: HttpRequest, user_id: int) -> HttpResponse:
    """Enter that a person is away."""
    user = get_object_or_404(User, pk=user_id)
    at_bench = get_object_or_404(BenchPerson, user=user)
    form = AbsenceForm(request.POST or None, instance=Absence(person=at_bench))
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, f"{user} is entered as away.")
        return redirect("bench:hours")
    return form_page(request, form, f"{user} is away")


@require_POST
def away_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take an absence away."""
    found = get_object_or_404(Absence.objects.select_related("person__user"), pk=pk)
    found.delete()
    messages.success(request, f"{found.person} is there on those days.")
    return redirect("bench:hours")


@form_methods
def day(request: HttpRequest) -> HttpResponse:
    """Enter a closed day, or a holiday on which the shop works."""
    form = SpecialDayForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "The days are entered.")
        return redirect("bench:hours")
    return form_page(request, form, "Closed days")


@require_POST
def day_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take closed days away."""
    get_object_or_404(SpecialDay, pk=pk).delete()
    messages.success(request, "The days are as usual again.")
    return redirect("bench:hours")


@form_methods
def settings(request: HttpRequest) -> HttpResponse:
    """Change how promises are made and which holidays are kept."""
    form = SettingsForm(request.POST or None, instance=settings_now(), shop=shop_of(request))
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "How promises are made is saved.")
        return redirect("bench:hours")
    return form_page(request, form, "How promises are made")


def form_page(request: HttpRequest, form: forms.BaseForm, title: str) -> HttpResponse:
    """Show a form of its own, with 422 where something in it is wrong."""
    context: dict[str, Any] = {"form": form, "title": title, "up_url": reverse("bench:hours")}
    return render(request, "workshop/bench/form.html", context, status=status_of(form))


def status_of(form: forms.BaseForm) -> int:
    """Return 422 for a form in which something is wrong, else 200."""
    return 422 if form.errors else 200
