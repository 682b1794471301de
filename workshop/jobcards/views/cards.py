"""The list of job cards, a card, and what changed on it since."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from inventory.lists import listing, show_list
from workshop.jobcards.models import JobCard, TimeSpan
from workshop.jobcards.selectors import card_page, card_to_show, cards_for_list
from workshop.jobcards.tables import CardFilter, CardTable
from workshop.jobcards.views.shared import number_in
from workshop.offline.keeping import keep_for
from workshop.people.selectors import person_of


@require_safe
def card_list(request: HttpRequest) -> HttpResponseBase:
    """Show the job cards, by what was promised first."""
    context = listing(request, cards_for_list(), table=CardTable, filters=CardFilter)
    return show_list(request, "workshop/jobcards/list.html", context)


@require_safe
@never_cache
def card(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a card: what is to be done, in the order of the work."""
    page = card_page(card_to_show(pk), person_of(request))
    answer = render(request, "workshop/jobcards/card.html", {"page": page})
    return keep_for(answer, person_of(request))


@require_safe
@never_cache
def live(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer what changed on a card since ``version``: the rows, the head and the foot anew.

    Where nothing did, and as many times run as ``running`` says, the answer is 204 and costs two
    queries of its own. The page asks this every few seconds, so that people see each other's ticks.
    """
    found = get_object_or_404(JobCard.objects.only("version"), pk=pk)
    running = TimeSpan.objects.filter(task__card=found, stopped_at__isnull=True).count()
    version = number_in(request, "version")
    if version == found.version and running == number_in(request, "running"):
        return HttpResponse(status=204)
    page = card_page(card_to_show(pk), person_of(request))
    rows = page.changed_since(version)
    if rows == []:
        rows = [row for row in page.rows if row.spans]
    context = {"page": page, "rows": rows, "oob": True}
    return render(request, "workshop/jobcards/live.html", context)
