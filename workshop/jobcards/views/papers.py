"""Paper of job cards: the release sheet as it was kept, the card to be filled in by pen."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.cache import patch_cache_control
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from inventory.paper.showing import shown_pdf
from workshop.jobcards.models import ReleaseSheet
from workshop.jobcards.selectors import card_page, card_to_show
from workshop.jobcards.sheets.job_card import SIZES, pen_card, pen_card_pdf
from workshop.people.selectors import person_of
from workshop.shop.selectors import shop_of


@require_safe
def sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """Give the release sheet as it was kept when the bike left."""
    kept = ReleaseSheet.objects.select_related("card").filter(card=pk).first()
    if kept is None:
        raise Http404("This bike has not been released, so there is no release sheet yet.")
    response = shown_pdf(bytes(kept.pdf), f"{kept.card.number}-release.pdf")
    patch_cache_control(response, private=True, no_cache=True)
    return response


@require_safe
@never_cache
def card(request: HttpRequest, pk: int) -> HttpResponse:
    """Print the card to be filled in by pen, A4 unless ``?size=a5`` is asked for."""
    page = card_page(card_to_show(pk), person_of(request))
    size = request.GET.get("size", SIZES[0]).lower()
    if size not in SIZES:
        raise Http404("A job card is printed on A4 or on A5.")
    address = request.build_absolute_uri(reverse("jobcards:card", args=(pk,)))
    paper = pen_card(page, shop_of(request), size=size, address=address)
    return shown_pdf(pen_card_pdf(paper), f"{page.card.number}-{size}.pdf")
