"""Pages of labels: what is asked for, and its PDF."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from inventory.paper.showing import shown_pdf
from workshop.bikes.models import Bike
from workshop.labels.forms import BikeLabelForm, LabelForm, PartLabelForm
from workshop.labels.making import (
    Content,
    bike_content,
    labels_pdf,
    part_content,
    repeated,
    sheets_of,
)
from workshop.shop.selectors import shop_of


@require_safe
@never_cache
def bikes(request: HttpRequest) -> HttpResponse:
    """Ask which bikes' labels are wanted, and print them."""
    form = _form(request, BikeLabelForm, "bikes")
    return _answer(request, form, "bikes", lambda bike: bike_content(bike, _address_in(request)))


@require_safe
@never_cache
def parts(request: HttpRequest) -> HttpResponse:
    """Ask which parts' labels are wanted, and print them."""
    return _answer(request, _form(request, PartLabelForm, "parts"), "parts", part_content)


def _form(request: HttpRequest, form: type[LabelForm[Any]], name: str) -> LabelForm[Any]:
    """Return the form: filled in and checked once a size is asked for, else with what is named."""
    if "size" in request.GET:
        return form(request.GET)
    return form(initial={name: request.GET.get(name, "")})


def _address_in(request: HttpRequest) -> Callable[[Bike], str]:
    """Return what gives a bike's page as a whole address, for the camera of a phone."""
    return lambda bike: request.build_absolute_uri(reverse("bikes:detail", args=(bike.pk,)))


def _answer(
    request: HttpRequest, form: LabelForm[Any], name: str, content_of: Callable[[Any], Content]
) -> HttpResponse:
    """Print what a valid form asks for; else show it, with 422 where something is wrong."""
    if not form.is_bound or not form.is_valid():
        status = 422 if form.is_bound else 200
        return render(
            request, "workshop/labels/ask.html", {"form": form, "name": name}, status=status
        )
    given = form.cleaned_data
    sheets = sheets_of(
        repeated(map(content_of, form.chosen), given["copies"]),
        given["size"].grid,
        title=f"Labels of {name}",
        language=shop_of(request).locale.replace("_", "-"),
        first=given["first"],
    )
    return shown_pdf(labels_pdf(sheets), f"labels-{name}.pdf")
