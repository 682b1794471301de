"""The page of one task: its figure, readings after the repair, parts and times."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from workshop.core.cardstates import CardStateError
from workshop.jobcards.errors import JobCardError
from workshop.jobcards.models import Task
from workshop.jobcards.reading_forms import ReadingsForm, verdicts_of
from workshop.jobcards.selectors import card_page, card_to_show, findings_for
from workshop.jobcards.verbs.read import ReadingRefusedError, note_readings
from workshop.jobcards.views.shared import (
    UNPROCESSABLE,
    Refused,
    is_told_again,
    key_of,
    said,
    task_of,
    wants_json,
)
from workshop.offline.keeping import keep_for
from workshop.people.selectors import person_of


@never_cache
def task(request: HttpRequest, pk: int, task_id: int) -> HttpResponse:
    """Show a task, or keep what was read after it."""
    found = task_of(pk, task_id)
    form = None
    if request.method == "POST":
        form = _form(found, data=request.POST)
        if wants_json(request):
            return _said(request, found, form)
        if form.is_valid() and _kept(request, found, form):
            return redirect("jobcards:task", pk, task_id)
    return show_task(request, found, form=form)


def _said(request: HttpRequest, found: Task, form: ReadingsForm) -> HttpResponse:
    """Keep the readings and tell a script what came of it."""
    again = is_told_again(request, found.card_id)
    if form.is_valid() and _kept(request, found, form):
        return said(again=again)
    labels = {name: f"{field.label}: " for name, field in form.fields.items()}
    wrong = [f"{labels.get(name, '')}{each}" for name, all_ in form.errors.items() for each in all_]
    return said(" ".join(wrong))


def _form(found: Task, **options: Any) -> ReadingsForm:
    """Return the form of a task's readings."""
    url = reverse("jobcards:judge", args=(found.card_id, found.pk))
    return ReadingsForm(task=found, judge_url=url, **options)


def _kept(request: HttpRequest, found: Task, form: ReadingsForm) -> bool:
    """Hand the readings to the verb; False, with the error in the form, where it refuses."""
    try:
        kept = note_readings(
            found,
            by=person_of(request),
            key=key_of(request),
            torque=form.reached,
            maker=form.maker,
            values=form.values,
        )
    except ReadingRefusedError as error:
        form.refuse(error)
        return False
    except (JobCardError, CardStateError) as error:
        form.add_error(None, str(error))
        return False
    for each in kept:
        if each.is_unsafe:
            messages.warning(request, f"{each}: {each.words}. The bike can’t go out like this.")
    messages.success(request, "The readings are kept." if kept else "It is kept.")
    return True


def show_task(
    request: HttpRequest,
    found: Task,
    *,
    form: ReadingsForm | None = None,
    refused: Refused | None = None,
) -> HttpResponse:
    """Show the page of a task, with what was refused on it, if anything."""
    page = card_page(card_to_show(found.card_id), person_of(request))
    row = page.row(found.pk)
    if row is None:
        raise Http404("There is no such task on the card.")
    form = form or _form(found)
    wrong = bool(form.errors or refused)
    context = {
        "page": page,
        "row": row,
        "task": row.task,
        "form": form,
        "verdicts": verdicts_of(form) if form.is_bound else (),
        "findings": findings_for(found),
        "refused": refused,
        "came_from": "task",
    }
    status = UNPROCESSABLE if wrong else 200
    answer = render(request, "workshop/jobcards/task.html", context, status=status)
    return keep_for(answer, person_of(request))


@require_GET
def judge(request: HttpRequest, pk: int, task_id: int) -> HttpResponse:
    """Show what the rules say of the readings typed so far; nothing is kept."""
    form = ReadingsForm(request.GET, task=task_of(pk, task_id))
    form.is_valid()
    return render(request, "workshop/jobcards/verdicts.html", {"verdicts": verdicts_of(form)})
