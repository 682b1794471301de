"""Pages of the release check: signing, taking a signature back, letting the bike go."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe
from django_htmx.http import HttpResponseClientRedirect

from workshop.bikes.verbs.stages import StageError
from workshop.core.cardstates import CardStateError
from workshop.jobcards.errors import JobCardError
from workshop.jobcards.models import JobCard, ReleaseItem
from workshop.jobcards.release_forms import LetGoForm, SignForm
from workshop.jobcards.releasing import ReleasePage, card_for_release, release_page
from workshop.jobcards.verbs.release import NotToldError, release_bike
from workshop.jobcards.verbs.sign import sign, unsign
from workshop.people.selectors import person_of

UNPROCESSABLE = 422


@require_safe
@never_cache
def page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the check: what is to be looked at, who signed, what still stands in the way."""
    return _show(request, release_page(card_for_release(pk), person_of(request)))


@require_safe
@never_cache
def news(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that the card was changed since ``version``; 204 where it was not."""
    card = card_for_release(pk)
    if request.GET.get("version") == str(card.version):
        return HttpResponse(status=204)
    return render(request, "workshop/jobcards/release_news.html", {"card": card})


@require_POST
def sign_item(request: HttpRequest, pk: int, item_id: int) -> HttpResponse:
    """Sign one item."""
    card, item = card_for_release(pk), get_object_or_404(ReleaseItem, pk=item_id)
    form = SignForm(request.POST)
    if not form.is_valid():
        return _answer(request, card, "A note has at most 200 letters. Load the page anew.")
    given = form.cleaned_data
    try:
        made = sign(card, item, by=person_of(request), key=given["key"], note=given["note"])
    except (JobCardError, CardStateError) as error:
        return _answer(request, card, str(error))
    if made.by_id != person_of(request).pk:
        messages.info(request, f"“{item}” was signed by {made.by} already.")
    return _answer(request, card)


@require_POST
def unsign_item(request: HttpRequest, pk: int, item_id: int) -> HttpResponse:
    """Take a signature back."""
    card, item = card_for_release(pk), get_object_or_404(ReleaseItem, pk=item_id)
    try:
        unsign(card, item, by=person_of(request), key=request.POST.get("key") or uuid4().hex)
    except (JobCardError, CardStateError) as error:
        return _answer(request, card, str(error))
    return _answer(request, card)


@require_POST
def let_go(request: HttpRequest, pk: int) -> HttpResponse:
    """Release the bike, or say what stands in the way."""
    shown = release_page(card_for_release(pk), person_of(request))
    form = LetGoForm(request.POST, standing=shown.standing)
    if not form.is_valid():
        return _show(request, shown, form)
    try:
        card = release_bike(shown.card, by=person_of(request), **form.cleaned_data)
    except NotToldError as error:
        form.add_error("told_declined" if "told_declined" in form.fields else None, str(error))
        return _show(request, shown, form)
    except (JobCardError, CardStateError, StageError) as error:
        return _answer(request, shown.card, str(error))
    messages.success(request, f"{card.bike} is released. The customer’s release sheet is ready.")
    return _go(request, card)


def _answer(request: HttpRequest, card: JobCard, refusal: str = "") -> HttpResponse:
    """Show the check as it stands now, in place or as a page of its own."""
    if refusal:
        messages.warning(request, refusal)
    if not request.htmx:  # type: ignore[attr-defined] # set by its middleware
        return _go(request, card)
    fresh = release_page(card_for_release(card.pk), person_of(request))
    return render(request, "workshop/jobcards/release_check.html", _context(fresh))


def _go(request: HttpRequest, card: JobCard) -> HttpResponse:
    """Go to the page of the check."""
    address = reverse("jobcards:release", args=(card.pk,))
    return HttpResponseClientRedirect(address) if request.htmx else redirect(address)  # type: ignore[attr-defined] # set by its middleware


def _show(request: HttpRequest, shown: ReleasePage, form: LetGoForm | None = None) -> HttpResponse:
    """Show the page, with 422 where something in its form is wrong."""
    part = bool(form and request.htmx)  # type: ignore[attr-defined] # set by its middleware
    template = "release_check" if part else "release"
    status = UNPROCESSABLE if form else 200
    return render(
        request, f"workshop/jobcards/{template}.html", _context(shown, form), status=status
    )


def _context(shown: ReleasePage, form: LetGoForm | None = None) -> dict[str, Any]:
    """Return what the templates show; every form has a key of its own."""
    form = form or LetGoForm(standing=shown.standing, initial={"key": uuid4().hex})
    return {"page": shown, "card": shown.card, "form": form, "new_key": lambda: uuid4().hex}
