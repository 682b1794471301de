"""Opens the job card for the release check alone, from a bike's page."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from workshop.bikes.models import Bike
from workshop.bikes.verbs.stages import StageError
from workshop.jobcards.errors import JobCardError
from workshop.jobcards.verbs import open_check as verb
from workshop.jobcards.verbs.open_card import CardOpenError
from workshop.people.selectors import person_of


@require_POST
def open_check(request: HttpRequest, bike_id: int) -> HttpResponse:
    """Open the card and go to its release check; where it is refused, say why on the bike."""
    bike = get_object_or_404(Bike, pk=bike_id)
    try:
        card = verb.open_check(bike, by=person_of(request))
    except CardOpenError as error:
        messages.info(request, str(error))
        return redirect("jobcards:card", error.card.pk)
    except (JobCardError, StageError) as error:
        messages.error(request, str(error))
        return redirect("bikes:detail", bike.pk)
    messages.success(request, f"Job card {card} is open for the release check alone.")
    return redirect("jobcards:release", card.pk)
