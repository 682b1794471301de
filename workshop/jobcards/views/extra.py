"""Extra work: where it is, what it is, what it stops, and what was told."""

from __future__ import annotations

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from workshop.bikes.photos import PhotoError
from workshop.core.cardstates import Action
from workshop.inspections.judging import EntryError
from workshop.jobcards.extra_forms import ExtraForm
from workshop.jobcards.models import ExtraState, ExtraWork, JobCard
from workshop.jobcards.selectors import card_to_show
from workshop.jobcards.selectors.extra import (
    new_faults,
    places_of,
    point_of,
    tasks_to_stop,
    touched_by,
)
from workshop.jobcards.verbs.report_extra import ExtraError, report_extra
from workshop.jobcards.views.shared import REFUSALS, key_of, url_of
from workshop.people.selectors import person_of
from workshop.posting import form_page


@require_safe
def places(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask where on the bike it is."""
    card = card_to_show(pk)
    context = {"card": card, "stretches": places_of(card)}
    return render(request, "workshop/jobcards/extra_places.html", context)


@never_cache
def at_place(request: HttpRequest, pk: int, code: str) -> HttpResponse:
    """Ask what it is and what it stops, and report it."""
    card = card_to_show(pk)
    point = point_of(card, code)
    faults, tasks = new_faults(card, point), tasks_to_stop(card)
    posted = request.method == "POST"
    if posted and (before := _sent_before(card, key_of(request))):
        _tell(request, before)
        return redirect(url_of(card))
    form = ExtraForm(
        request.POST if posted else None,
        request.FILES if posted else None,
        faults=faults,
        tasks=tasks,
        touched=() if posted else touched_by(point, tasks),
    )
    if posted and form.is_valid() and (extra := _reported(request, card, form)):
        _tell(request, extra)
        return redirect(url_of(card))
    context = {"card": card, "point": point, "faults": faults}
    return form_page(request, "workshop/jobcards/extra.html", form, context)


def _sent_before(card: JobCard, key: str) -> ExtraWork | None:
    """Return what was reported under this key already, if anything was."""
    event = card.events.filter(key=key, action=Action.REPORT_EXTRA.value).first()
    return card.extras.filter(finding__fault=event.subject).first() if event else None


def _reported(request: HttpRequest, card: JobCard, form: ExtraForm) -> ExtraWork | None:
    """Hand the form to the verb; None, with the error in the form, where it refuses."""
    photos: list[UploadedFile[bytes]] = form.cleaned_data["photos"]
    try:
        return report_extra(
            card,
            form.chosen,
            by=person_of(request),
            key=key_of(request),
            note=form.cleaned_data["note"],
            photos=photos,
            stops=form.stopped,
        )
    except PhotoError as error:
        form.add_error("photos", str(error))
    except (ExtraError, EntryError) as error:
        form.add_error(error.field if error.field in form.fields else None, str(error))
    except REFUSALS as error:
        form.add_error(None, str(error))
    return None


def _tell(request: HttpRequest, extra: ExtraWork) -> None:
    """Say what happens now."""
    if extra.state == ExtraState.AGREED:
        words = "it lies within what was agreed beforehand and goes ahead. Its tasks are here."
        messages.success(request, f"{extra}: {words}")
        return
    waits = f"{extra.words}." if extra.words else "the front desk asks the customer."
    messages.warning(request, f"{extra}: do not begin it. It waits for the customer; {waits}")
