"""The page on which the front desk opens the job card of what was accepted."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from inventory.formfields import use_currency
from quotes.acceptance.forms import OpenCardForm
from quotes.acceptance.models import Acceptance
from quotes.acceptance.verbs.open_card import OpenedBeforeError, open_card_for
from quotes.acceptance.work import work_of
from quotes.quoting.selectors.page import RevisionPage
from quotes.quoting.views.shared import page_for, url_of
from workshop.bench.errors import BenchError
from workshop.bench.promising import promise_for
from workshop.bikes.verbs.stages import StageError
from workshop.core.access import AccessError
from workshop.core.ordering import OrderError
from workshop.core.promise import Promise
from workshop.jobcards.errors import JobCardError
from workshop.jobcards.models import JobCard
from workshop.jobcards.verbs.open_card import CardOpenError
from workshop.people.selectors import person_of
from workshop.posting import form_page, posted


def open_card(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Ask what is promised and what may go ahead without asking, and open the job card."""
    page = page_for(request, number, revision)
    if not page.opens_card:
        return _elsewhere(request, page)
    promise = _promise(page)
    day = promise.day if promise else None
    form = OpenCardForm(posted(request), initial={"promised_on": day})
    use_currency(form, page.shop.currency, page.shop.locale)
    may = request.method == "POST" and form.is_valid()
    if may and (card := _opened(request, page, form, promise)):
        messages.success(request, f"Job card {card} is open.")
        return redirect("jobcards:card", card.pk)
    context = {"page": page, "promise": promise}
    return form_page(request, "quotes/acceptance/open_card.html", form, context)


def _promise(page: RevisionPage) -> Promise | None:
    """Return the day that can be promised; None where the work can't be laid out."""
    acceptance = Acceptance.objects.select_related("revision__quote").get(revision=page.revision)
    try:
        return promise_for(work_of(acceptance), page.shop)
    except (AccessError, OrderError):
        return None


def _opened(
    request: HttpRequest, page: RevisionPage, form: OpenCardForm, promise: Promise | None
) -> JobCard | None:
    """Hand the form to the verb; None, with the error in the form, where it refuses."""
    try:
        return open_card_for(
            page.revision, by=person_of(request), reckoned=promise, **form.cleaned_data
        )
    except (OpenedBeforeError, CardOpenError) as error:
        return error.card
    except BenchError as error:
        form.add_error(error.field or None, str(error))
        return None
    except (JobCardError, StageError, AccessError, OrderError) as error:
        form.add_error(None, str(error))
        return None


def _elsewhere(request: HttpRequest, page: RevisionPage) -> HttpResponse:
    """Lead to the card that is there, or say on the quote that there is no work to begin."""
    if page.job_card is not None:
        messages.info(request, f"The quote has its job card: {page.job_card}.")
        return redirect("jobcards:card", page.job_card.pk)
    messages.error(request, f"{page.revision} is not accepted, so there is no work to begin.")
    return redirect(url_of(page.revision))
