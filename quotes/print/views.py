"""The PDF as it was sent, and a preview of a draft."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect
from django.utils.cache import patch_cache_control
from django.views.decorators.http import require_safe

from inventory.paper.showing import shown_pdf
from quotes.print.pdf import render_revision
from quotes.quoting.models import Revision, SentDocument
from quotes.quoting.selectors.page import revision_for_page


@require_safe
def pdf(request: HttpRequest, number: str, revision: int) -> HttpResponseBase:
    """Give the bytes that were sent, the same every time."""
    wanted = SentDocument.objects.filter(revision__quote__number=number, revision__number=revision)
    kept = wanted.values_list("sha256", flat=True).first()
    if kept is None:
        raise Http404(
            f"{number} revision {revision} has not been sent, so there is no PDF of it yet."
            " A draft can be looked at as a preview."
        )
    tag = f'"{kept}"'
    if request.headers.get("If-None-Match") == tag:
        response = HttpResponse(status=304)
    else:
        body = bytes(wanted.values_list("pdf", flat=True).get())
        response = shown_pdf(body, f"{number}-{revision}.pdf")
    response.headers["ETag"] = tag
    patch_cache_control(response, private=True, no_cache=True)
    return response


@require_safe
def preview(request: HttpRequest, number: str, revision: int) -> HttpResponseBase:
    """Print a draft, marked as one on each page; what has been sent is shown as it was sent."""
    found = Revision.objects.filter(quote__number=number, number=revision).first()
    if found is None:
        raise Http404(f"There is no revision {revision} of {number}.")
    if not found.is_draft:
        return redirect("printing:pdf", number, revision)
    body = render_revision(revision_for_page(found.pk))
    response = shown_pdf(body, f"{number}-{revision}-draft.pdf")
    patch_cache_control(response, private=True, no_store=True)
    return response
