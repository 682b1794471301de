"""What the pages of this room share: who asks and how, a form's key, saying what was refused."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone

from workshop.core.cardstates import CardStateError
from workshop.jobcards.errors import JobCardError
from workshop.jobcards.models import CardEvent, JobCard, Task

REFUSALS = (JobCardError, CardStateError)
UNPROCESSABLE = 422
CONFLICT = 409
LONGEST_KEY = 64
LONGEST_AGO = 14 * 24 * 3600  # seconds


def in_place(request: HttpRequest) -> bool:
    """Tell whether htmx asks, to change a part of the page in place."""
    return "HX-Request" in request.headers


def wants_json(request: HttpRequest) -> bool:
    """Tell whether a script asks and reads JSON, not a page."""
    return request.headers.get("Accept", "").split(",")[0].strip() == "application/json"


def key_of(request: HttpRequest) -> str:
    """Return the key sent with a form; one of its own where there is none that can be kept."""
    key = request.POST.get("key", "").strip()
    return key if 0 < len(key) <= LONGEST_KEY else f"none:{uuid.uuid4()}"


def number_in(request: HttpRequest, name: str) -> int:
    """Return a whole number sent with a form, 0 where it is none."""
    text = request.POST.get(name) or request.GET.get(name) or ""
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 10 else 0  # noqa: PLR2004 - what a database's integer holds


def done_at(request: HttpRequest) -> dt.datetime | None:
    """Return when something was done that could not be told at once, None where it is done now.

    The browser says how long ago, as its clock may be wrong but runs at the right speed.
    """
    ago = number_in(request, "seconds_ago")
    return timezone.now() - dt.timedelta(seconds=min(ago, LONGEST_AGO)) if ago else None


def is_told_again(request: HttpRequest, card_id: int) -> bool:
    """Tell whether the key sent was used on the card before."""
    return CardEvent.objects.filter(card=card_id, key=key_of(request)).exists()


def said(words: str = "", *, again: bool = False) -> JsonResponse:
    """Answer a script in the same form as to a tick; ``words`` say why it was refused, if it was.

    ``again``: it was done under this key before.
    """
    if words:
        return JsonResponse({"outcome": "refused", "words": words}, status=UNPROCESSABLE)
    return JsonResponse({"outcome": "already" if again else "done", "words": ""})


def task_of(pk: int, task_id: int) -> Task:
    """Return a task of a card, or answer 404."""
    rows = Task.objects.select_related("card__bike", "card__inspection", "done_by")
    return get_object_or_404(rows, pk=task_id, card=pk)


def url_of(card: JobCard, anchor: str = "") -> str:
    """Return the address of a card."""
    url = reverse("jobcards:card", args=(card.pk,))
    return f"{url}#{anchor}" if anchor else url


def back(request: HttpRequest, card: JobCard, anchor: str, error: str = "") -> HttpResponse:
    """Go back to where a form was sent from, on the card, with what was refused if anything."""
    if error:
        messages.error(request, error)
    return HttpResponseRedirect(url_of(card, anchor))


@dataclass(frozen=True, slots=True)
class Refused:
    """A part's form that was refused: which row, why, and what had been typed."""

    row: int
    words: str
    field: str = ""
    quantity: str = ""
    serial: str = ""
    fit_reason: str = ""
    giving_back: bool = False
