"""Paper of job cards: the release sheet as it was kept."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.cache import patch_cache_control
from django.views.decorators.http import require_safe

from inventory.paper.showing import shown_pdf
from workshop.jobcards.models import ReleaseSheet


@require_safe
def sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """Give the release sheet as it was kept when the bike left."""
    kept = ReleaseSheet.objects.select_related("card").filter(card=pk).first()
    if kept is None:
        raise Http404("This bike has not been released, so there is no release sheet yet.")
    response = shown_pdf(bytes(kept.pdf), f"{kept.card.number}-release.pdf")
    patch_cache_control(response, private=True, no_cache=True)
    return response
