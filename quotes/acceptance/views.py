"""Pages about a customer's answer."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from quotes.acceptance.forms import AnswerForm
from quotes.acceptance.models import Acceptance
from quotes.acceptance.selectors import (
    Answer,
    answer_to,
    decisions_of,
    is_expired,
    lines_of,
    offers_of,
    shortcut,
)
from quotes.acceptance.verbs.record import (
    AlreadyAnsweredError,
    CannotAnswerError,
    NotConfirmedError,
    record_answer,
)
from quotes.quoting.models import Revision
from quotes.quoting.selectors.page import RevisionPage
from quotes.quoting.views.shared import in_place, page_for, url_of
from workshop.people.selectors import person_of

SHORTCUTS = (
    ("all", "everything"),
    ("should", "must and should"),
    ("must", "must only"),
    ("none", "nothing"),
)
FIELD_OF = {"expired": "expired_ok", "must": "must_refused_ok"}


def record(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Take a customer's answer line by line, show what it comes to, and record it."""
    page = page_for(request, number, revision)
    if not page.answerable:
        return _not_answerable(request, page.revision)
    word = request.POST.get("do", "total")
    ticked = _ticked(request) if word in {"total", "record"} else shortcut(page, word)
    answer = answer_to(lines_of(page.revision), ticked)
    if in_place(request) and word == "total":
        context = {"page": page, "answer": answer}
        return render(request, "quotes/acceptance/total_in_place.html", context)
    recording = word == "record"
    form = _form(request, page, answer, bound=recording)
    if recording and form.is_valid() and (done := _recorded(request, page, form, ticked)):
        return done
    context = _context(page, answer, form, ticked)
    name = "in_place" if in_place(request) else "record"
    status = 422 if form.errors else 200
    return render(request, f"quotes/acceptance/{name}.html", context, status=status)


def detail(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Show the answer that was given."""
    page = page_for(request, number, revision)
    acceptance = get_object_or_404(
        Acceptance.objects.select_related("recorded_by"), revision=page.revision
    )
    decisions = decisions_of(acceptance)
    yes = {pk for pk, accepted in decisions.items() if accepted}
    context = {
        "page": page,
        "acceptance": acceptance,
        "answer": answer_to(lines_of(page.revision), yes),
        "yes": [line for line in page.lines if decisions.get(line.pk) is True],
        "no": [line for line in page.lines if decisions.get(line.pk) is False],
    }
    return render(request, "quotes/acceptance/detail.html", context)


def _not_answerable(request: HttpRequest, revision: Revision) -> HttpResponse:
    """Say why there is nothing to answer, and lead to where things stand."""
    try:
        record_answer(revision, decided_by="", by=person_of(request), accepted_lines=())
    except AlreadyAnsweredError as error:
        messages.info(request, str(error))
        return redirect("acceptance:detail", revision.quote.number, revision.number)
    except CannotAnswerError as error:
        messages.error(request, str(error))
    return redirect(url_of(revision))


def _ticked(request: HttpRequest) -> set[int]:
    """Return the pks of the lines that are ticked."""
    return {int(pk) for pk in request.POST.getlist("line") if pk.isascii() and pk.isdigit()}


def _form(request: HttpRequest, page: RevisionPage, answer: Answer, *, bound: bool) -> AnswerForm:
    """Return the form; a shortcut keeps what was typed without judging it yet."""
    data = request.POST if bound else None
    kept = request.POST.dict() if request.POST else {"decided_by": page.customer.name}
    return AnswerForm(
        data,
        initial=kept,
        expired=is_expired(page.revision),
        must_refused=bool(answer.refused_must) and (bound or bool(request.POST)),
    )


def _recorded(
    request: HttpRequest, page: RevisionPage, form: AnswerForm, ticked: set[int]
) -> HttpResponse | None:
    """Hand the answer to the verb; None, with the error in the form, where it is refused."""
    try:
        record_answer(
            page.revision, by=person_of(request), accepted_lines=ticked, **form.cleaned_data
        )
    except NotConfirmedError as error:
        form.add_error(FIELD_OF[error.what], f"{error} Tick this to record it all the same.")
        return None
    except AlreadyAnsweredError as error:
        messages.info(request, str(error))
    except CannotAnswerError as error:
        form.add_error(None, str(error))
        return None
    else:
        messages.success(request, "The answer is recorded.")
    return redirect("acceptance:detail", page.quote.number, page.revision.number)


def _context(
    page: RevisionPage, answer: Answer, form: AnswerForm, ticked: set[int]
) -> dict[str, Any]:
    """Return what the page at the counter shows."""
    return {
        "page": page,
        "revision": page.revision,
        "quote": page.quote,
        "offers": offers_of(page),
        "shortcuts": SHORTCUTS,
        "ticked": ticked,
        "answer": answer,
        "form": form,
    }
