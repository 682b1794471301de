"""Choosing for a finding: its remedy and how long it may wait."""

from __future__ import annotations

from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from quotes.quoting.formats import signed_money
from quotes.quoting.forms import ChooseForm, choices_of
from quotes.quoting.models import QuotedFinding
from quotes.quoting.selectors.ways import BY_HAND, NO_WORK, Way, ways_for
from quotes.quoting.verbs.choose import CannotChooseError, usual_importance
from quotes.quoting.verbs.choose import choose as choose_verb
from quotes.quoting.views.shared import asked, changed, of_draft, posted
from workshop.labour.models import Remedy
from workshop.people.selectors import person_of
from workshop.shop.models import Shop
from workshop.shop.selectors import shop_of


@of_draft
def choose(request: HttpRequest, number: str, revision: int, pk: int) -> HttpResponse:
    """Ask what is to be done about a finding, with what each way changes; keep the choice."""
    row = get_object_or_404(
        QuotedFinding.objects.select_related("revision__quote__bike", "finding__fault", "remedy"),
        pk=pk,
        revision__quote__number=number,
        revision__number=revision,
    )
    shop = shop_of(request)
    ways = [(way.value, _words(way, shop)) for way in ways_for(row, shop)]
    form = ChooseForm(
        posted(request), ways=ways, usual=usual_importance(row), initial=choices_of(row)
    )
    if request.method == "POST" and form.is_valid() and (answer := _kept(request, row, form)):
        return answer
    context = {"form": form, "row": row, "revision": row.revision, "quote": row.revision.quote}
    return asked(request, "choose", context, panel=f"panel-finding-{row.pk}")


def _kept(request: HttpRequest, row: QuotedFinding, form: ChooseForm) -> HttpResponse | None:
    """Hand a valid form to the verb; None, with the error in the form, where that refuses."""
    given = form.cleaned_data
    chosen = given["way"] not in {BY_HAND, NO_WORK}
    try:
        draft = choose_verb(
            row,
            remedy=Remedy.objects.get(pk=given["way"]) if chosen else None,
            importance=given["importance"],
            reason=given["reason"],
            no_work_reason=given["no_work_reason"],
            by=person_of(request),
        )
    except CannotChooseError as error:
        form.add_error(None, str(error))
        return None
    return changed(request, draft, f"{row}: kept.", f"finding-{row.pk}")


def _words(way: Way, shop: Shop) -> str:
    """Return a way in words, with what it does to the total."""
    notes = [way.note] if way.note else []
    if way.current:
        notes.append("as now")
    elif way.difference is not None:
        notes.append(f"{signed_money(Decimal(way.difference), shop)} on the total")
    return f"{way.name}: {', '.join(notes)}" if notes else way.name
