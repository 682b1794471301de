"""What the pages of this room share: finding the revision, answering in place or as a page."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django_htmx.http import HttpResponseClientRedirect, reswap, retarget

from quotes.quoting.models import FrozenError, Line, Revision
from quotes.quoting.selectors.blocking import reasons_not_to_send
from quotes.quoting.selectors.page import RevisionPage, revision_for_page
from quotes.quoting.verbs.reprice import CannotPriceError
from workshop.shop.selectors import shop_of

P = ParamSpec("P")
NOT_LOOKED_AT = "not looked at"
View = Callable[Concatenate[HttpRequest, str, int, P], HttpResponse]


def revision_of(number: str, revision: int) -> Revision:
    """Return a revision with its quote and bike, or answer 404."""
    rows = Revision.objects.select_related("quote__bike", "quote__inspection", "quote__customer")
    return get_object_or_404(rows, quote__number=number, number=revision)


def line_of(number: str, revision: int, pk: int) -> Line:
    """Return a line of a revision, or answer 404."""
    rows = Line.objects.select_related("revision__quote__bike")
    line: Line = get_object_or_404(
        rows, pk=pk, revision__quote__number=number, revision__number=revision
    )
    return line


def page_for(request: HttpRequest, number: str, revision: int) -> RevisionPage:
    """Return the page of a revision, or answer 404."""
    pk = Revision.objects.filter(quote__number=number, number=revision).values_list("pk").first()
    if pk is None:
        raise Http404("There is no such revision of a quote.")
    return revision_for_page(pk[0], shop_of(request))


def url_of(revision: Revision, anchor: str = "") -> str:
    """Return the address of a revision's page."""
    url = reverse("quoting:revision", args=(revision.quote.number, revision.number))
    return f"{url}#{anchor}" if anchor else url


def in_place(request: HttpRequest) -> bool:
    """Tell whether htmx asks, to change a part of the page in place."""
    return request.headers.get("HX-Request") == "true"


def posted(request: HttpRequest) -> QueryDict | None:
    """Return what was posted for a form, be it empty; None where the form is only asked for."""
    return request.POST if request.method == "POST" else None


def body_context(request: HttpRequest, page: RevisionPage) -> dict[str, Any]:
    """Return what the body of a revision's page shows."""
    draft = page.revision.is_draft
    unfinished = draft and page.quote.inspection.finished_at is None
    return {
        "page": page,
        "revision": page.revision,
        "quote": page.quote,
        "reasons": reasons_not_to_send(page.revision, page.shop) if draft else [],
        "unfinished": unfinished,
        "not_looked_at": sum(row["reason"] == NOT_LOOKED_AT for row in page.not_tested),
    }


def changed(request: HttpRequest, revision: Revision, note: str, anchor: str = "") -> HttpResponse:
    """Answer a change that was made: the body anew in place, else back to the page."""
    messages.success(request, note)
    if not in_place(request):
        return redirect(url_of(revision, anchor))
    page = revision_for_page(revision.pk, shop_of(request))
    context = body_context(request, page) | {"focus": anchor}
    return render(request, "quotes/quoting/in_place.html", context)


def away(request: HttpRequest, url: str) -> HttpResponse:
    """Send the browser to another page, whether htmx asked or not."""
    return HttpResponseClientRedirect(url) if in_place(request) else redirect(url)


def asked(request: HttpRequest, name: str, context: dict[str, Any], *, panel: str) -> HttpResponse:
    """Answer with a form: in the ``panel`` of that id where htmx asks, else on its own page.

    A form with errors is answered 422 and takes the panel's place rather than the page's body.
    """
    status = 422 if context["form"].errors else 200
    context |= {"panel": panel, "in_place": in_place(request)}
    if not in_place(request):
        return render(request, f"quotes/quoting/{name}.html", context, status=status)
    response = render(request, f"quotes/quoting/{name}_form.html", context, status=status)
    return reswap(retarget(response, f"#{panel}"), "innerHTML") if status != 200 else response  # noqa: PLR2004 - plain HTTP


def of_draft(view: View[P]) -> View[P]:
    """Let a view change a draft; where it may not, go back to the page with the reason."""

    @wraps(view)
    def guarded(
        request: HttpRequest, number: str, revision: int, *args: P.args, **kwargs: P.kwargs
    ) -> HttpResponse:
        try:
            revision_of(number, revision).refuse_if_issued()
            return view(request, number, revision, *args, **kwargs)
        except (FrozenError, CannotPriceError) as error:
            messages.error(request, str(error))
            return away(request, url_of(revision_of(number, revision)))

    return guarded  # type: ignore[return-value] # the stubs of wraps name the parameters
