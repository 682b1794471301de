"""Lines of a draft: adding, changing, leaving out, restoring, removing."""

from __future__ import annotations

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from quotes.quoting.forms import HandLineForm, LineForm, hand_values
from quotes.quoting.models import Line, LineChange, LineKind, QuotedFinding, Revision
from quotes.quoting.verbs.add_line import LineError, add_line
from quotes.quoting.verbs.change_line import change_hand_line, change_line
from quotes.quoting.verbs.remove_line import remove_line
from quotes.quoting.verbs.restore_line import restore_line
from quotes.quoting.views.shared import (
    asked,
    away,
    changed,
    line_of,
    of_draft,
    posted,
    revision_of,
    url_of,
)
from workshop.people.selectors import person_of, sees_costs
from workshop.shop.selectors import shop_of


@of_draft
def add(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Add a line by hand, for the finding named by ``finding`` or for the whole bike."""
    draft = revision_of(number, revision)
    rows = list(_findings(draft))
    chosen = next((row for row in rows if str(row.pk) == request.GET.get("finding")), None)
    initial: dict[str, object] = {
        "finding": str(chosen.pk) if chosen else "",
        "importance": chosen.importance if chosen else "should",
    }
    form = _hand_form(request, rows, initial)
    panel = f"panel-add-{chosen.pk}" if chosen else "panel-add"
    if request.method == "POST" and form.is_valid():
        try:
            draft = add_line(
                draft, values=form.values(), findings=form.findings(), by=person_of(request)
            )
            return changed(request, draft, "The line is added.", "totals")
        except LineError as error:
            form.add_error(None, str(error))
    return asked(request, "line", _context(draft, form), panel=panel)


@of_draft
def change(request: HttpRequest, number: str, revision: int, pk: int) -> HttpResponse:
    """Change a line: a line by hand as a whole, another its quantity or price."""
    line = line_of(number, revision, pk)
    if line.kind == LineKind.HAND:
        return _changed_hand_line(request, line)
    kept = LineChange.objects.filter(revision=line.revision, key=line.key).first()
    form = LineForm(posted(request), line=line, change=kept, shop=shop_of(request))
    if request.method == "POST" and form.is_valid():
        try:
            draft = change_line(line, by=person_of(request), **form.overrides())
            return changed(request, draft, f"{line}: changed.", f"line-{line.pk}")
        except LineError as error:
            form.add_error(None, str(error))
    context = _context(line.revision, form) | {"line": line, "change": kept}
    return asked(request, "line", context, panel=f"panel-line-{line.pk}")


@of_draft
@require_POST
def restore(request: HttpRequest, number: str, revision: int, pk: int) -> HttpResponse:
    """Give a line back what the catalogue says."""
    line = line_of(number, revision, pk)
    draft = restore_line(line, person_of(request))
    return changed(request, draft, f"{line}: as the catalogue says.", f"line-{pk}")


@of_draft
@require_POST
def remove(request: HttpRequest, number: str, revision: int, pk: int) -> HttpResponse:
    """Remove a line by hand."""
    line = line_of(number, revision, pk)
    try:
        draft = remove_line(line, person_of(request))
    except LineError as error:
        messages.error(request, str(error))
        return away(request, url_of(line.revision, f"line-{pk}"))
    return changed(request, draft, f"{line}: removed.", "totals")


def _changed_hand_line(request: HttpRequest, line: Line) -> HttpResponse:
    """Ask for a line by hand anew, and keep it."""
    rows = list(_findings(line.revision))
    of = list(line.findings.values_list("pk", flat=True))
    form = _hand_form(request, rows, dict(hand_values(line, of)))
    if request.method == "POST" and form.is_valid():
        try:
            draft = change_hand_line(
                line, values=form.values(), findings=form.findings(), by=person_of(request)
            )
            return changed(request, draft, f"{line}: changed.", f"line-{line.pk}")
        except LineError as error:
            form.add_error(None, str(error))
    context = _context(line.revision, form) | {"line": line}
    return asked(request, "line", context, panel=f"panel-line-{line.pk}")


def _findings(draft: Revision) -> QuerySet[QuotedFinding]:
    """Return the findings of a draft in walk order."""
    return QuotedFinding.objects.filter(revision=draft).order_by("position", "pk")


def _hand_form(
    request: HttpRequest, rows: list[QuotedFinding], initial: dict[str, object]
) -> HandLineForm:
    """Return the form of a line by hand."""
    return HandLineForm(
        posted(request),
        rows=rows,
        shop=shop_of(request),
        sees_costs=sees_costs(request),
        initial=initial,
    )


def _context(revision: Revision, form: LineForm | HandLineForm) -> dict[str, object]:
    """Return what the form's page shows."""
    return {"form": form, "revision": revision, "quote": revision.quote}
