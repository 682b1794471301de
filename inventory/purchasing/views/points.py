"""Pages of reorder points: what usage and lead time propose, and the shop's choices."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from inventory.lists import ROWS_A_PAGE, page_number, with_words
from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.forms import SettingsForm, z_words
from inventory.purchasing.models import PurchasingSettings
from inventory.purchasing.usage import parts_in_use, reorder_points, settings_now
from inventory.purchasing.verbs.take_minimum import take_minimum
from inventory.stock.views import person, posted, shop

SEARCHED = ("name", "code")


def overview(request: HttpRequest) -> HttpResponse:
    """Show reorder points a page at a time; take over what is ticked."""
    text = request.GET.get("q", "")
    rows = with_words(parts_in_use().order_by("name", "pk"), text, SEARCHED)
    page = Paginator(rows, ROWS_A_PAGE).get_page(page_number(request.GET.get("page")))
    told = reorder_points(list(page.object_list), shop(request).currency)
    if request.method == "POST":
        ticked = set(request.POST.getlist("take"))
        points = {
            each.part.pk: each.point.order_below
            for each in told
            if each.point is not None and str(each.part.pk) in ticked
        }
        try:
            changed = take_minimum(points, by=person(request))
        except PurchaseError as error:
            messages.warning(request, str(error))
        else:
            messages.success(request, f"Minimum of {changed} parts changed.")
        return redirect(request.get_full_path())
    choices = settings_now()
    context = {
        "told": told,
        "page_obj": page,
        "choices": choices,
        "z": z_words(choices.service_level),
        "q": text,
        "differing": any(each.differs for each in told),
    }
    return render(request, "inventory/purchasing/points.html", context)


def settings(request: HttpRequest) -> HttpResponse:
    """Change the shop's choices for ordering."""
    found = PurchasingSettings.objects.filter(pk=1).first() or PurchasingSettings(pk=1)
    form = SettingsForm(posted(request), instance=found)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "The service level is saved.")
        return redirect("purchasing:points")
    status = 422 if form.errors else 200
    return render(request, "inventory/purchasing/settings.html", {"form": form}, status=status)
