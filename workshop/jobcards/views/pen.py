"""The page that takes a card from paper, in one go."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache

from workshop.core.cardstates import CardStateError
from workshop.jobcards.errors import JobCardError
from workshop.jobcards.pen_forms import PenForm
from workshop.jobcards.selectors import CardPage, card_page, card_to_show
from workshop.jobcards.selectors.measured import ToRead, to_read
from workshop.jobcards.signing import SIGNERS
from workshop.jobcards.verbs.enter_pen import PenError, enter_pen
from workshop.jobcards.views.shared import UNPROCESSABLE
from workshop.people.selectors import person_of


@never_cache
def pen(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the form of a card, or enter all that was written on its paper."""
    person = person_of(request)
    page = card_page(card_to_show(pk), person)
    measures = to_read(page.card)
    if request.method != "POST":
        hand = person.pk if person.role in SIGNERS else None
        first = {"key": f"pen:{uuid.uuid4()}", "who": hand}
        return _show(request, page, _form(page, measures, initial=first))
    form = _form(page, measures, data=request.POST)
    if form.is_valid() and _entered(request, page, form):
        return redirect("jobcards:card", pk)
    return _show(request, page, form)


def _form(page: CardPage, measures: Mapping[int, Sequence[ToRead]], **options: Any) -> PenForm:
    """Return the form of a card."""
    return PenForm(rows=page.rows, to_read=measures, fits=page.fits, **options)


def _entered(request: HttpRequest, page: CardPage, form: PenForm) -> bool:
    """Hand a valid form to the verb; False, with the errors at their rows, where it refuses."""
    rows = form.entered()
    given = form.cleaned_data
    try:
        enter_pen(page.card, rows, end=given["end"], by=person_of(request), key=given["key"])
    except PenError as error:
        form.refuse(error.rows)
        form.add_error(None, str(error))
        return False
    except (JobCardError, CardStateError) as error:
        form.add_error(None, str(error))
        return False
    messages.success(request, f"Entered from paper: {len(rows)} of {page.total} tasks.")
    return True


def _show(request: HttpRequest, page: CardPage, form: PenForm) -> HttpResponse:
    """Show the form, with 422 where something in it is wrong."""
    context = {"page": page, "card": page.card, "form": form, "tasks": form.by_task()}
    status = UNPROCESSABLE if form.errors else 200
    return render(request, "workshop/jobcards/pen.html", context, status=status)
