"""Making and issuing: starting a quote, its details, fetching anew, sending, revising."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from quotes.quoting.forms import DetailsForm, SendForm
from quotes.quoting.models import Revision
from quotes.quoting.verbs.refresh import refresh
from quotes.quoting.verbs.reprice import CannotPriceError
from quotes.quoting.verbs.revise import revise as revise_verb
from quotes.quoting.verbs.send import CannotSendError
from quotes.quoting.verbs.send import send as send_verb
from quotes.quoting.verbs.set_details import set_details
from quotes.quoting.verbs.start import AlreadyQuotedError, start_quote
from quotes.quoting.views.shared import (
    asked,
    body_context,
    changed,
    of_draft,
    page_for,
    posted,
    revision_of,
    url_of,
)
from workshop.inspections.models import Inspection
from workshop.people.selectors import person_of
from workshop.shop.selectors import shop_of


@require_POST
def start(request: HttpRequest, inspection_id: int) -> HttpResponse:
    """Start a quote from an inspection, or go to the one that was made from it."""
    inspection = get_object_or_404(Inspection.objects.select_related("bike"), pk=inspection_id)
    try:
        revision = start_quote(inspection, person_of(request))
    except AlreadyQuotedError as error:
        messages.info(request, str(error))
        revision = error.revision
    except CannotPriceError as error:
        messages.error(request, f"No quote can be priced yet. {error}")
        return redirect("bikes:detail", inspection.bike_id)
    return redirect(url_of(revision))


@of_draft
def details(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Set how long a draft is to stand, and the message."""
    draft = revision_of(number, revision)
    days = shop_of(request).quote_valid_days
    form = DetailsForm(posted(request), instance=draft, days=days)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        draft = set_details(
            draft,
            valid_until=given["valid_until"],
            message=given["message"],
            by=person_of(request),
        )
        return changed(request, draft, "Kept.", "details")
    context = {"form": form, "revision": draft, "quote": draft.quote}
    return asked(request, "details", context, panel="panel-details")


@of_draft
@require_POST
def reprice(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Fetch findings and prices anew."""
    draft = refresh(revision_of(number, revision), person_of(request))
    return changed(request, draft, "Findings and prices are those of today.")


@of_draft
def send(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Ask a last time, then send."""
    page = page_for(request, number, revision)
    context = body_context(request, page)
    form = SendForm(posted(request), unfinished=context["unfinished"])
    if request.method == "POST" and form.is_valid():
        try:
            send_verb(
                page.revision,
                person_of(request),
                unfinished_ok=form.cleaned_data.get("unfinished_ok", False),
            )
            messages.success(request, f"{page.revision} is sent: its PDF is kept below.")
            return redirect(url_of(page.revision))
        except CannotSendError as error:
            for reason in error.reasons:
                form.add_error(None, reason)
    context |= {"form": form, "days": shop_of(request).quote_valid_days}
    status = 422 if form.errors else 200
    return render(request, "quotes/quoting/send.html", context, status=status)


@require_POST
def revise(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Make the next revision, or go on with the draft there is."""
    latest: Revision = revision_of(number, revision)
    try:
        draft = revise_verb(latest.quote, person_of(request))
    except CannotPriceError as error:
        messages.error(request, f"No revision can be priced. {error}")
        return redirect(url_of(latest))
    return redirect(url_of(draft))
