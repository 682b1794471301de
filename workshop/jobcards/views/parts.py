"""Parts of a card: drawn by picking or scanning, given back, set aside anew."""

from __future__ import annotations

from decimal import Decimal

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from inventory.formfields import FigureField
from inventory.stock.models import plain
from inventory.stock.selectors import part_of_code
from workshop.jobcards.models import JobCard, TaskPart
from workshop.jobcards.selectors import card_page, card_to_show, parts_of, row_to_draw
from workshop.jobcards.verbs.parts import (
    MOST_FIT_REASON,
    PartError,
    draw_part,
    give_part_back,
    reserve_parts,
)
from workshop.jobcards.views.shared import (
    REFUSALS,
    UNPROCESSABLE,
    Refused,
    is_told_again,
    key_of,
    said,
    wants_json,
)
from workshop.jobcards.views.task import show_task
from workshop.offline.keeping import keep_for
from workshop.people.selectors import person_of

LONGEST_NUMBER = 80
QUANTITY = FigureField(decimal_places=2, max_digits=9)


@require_safe
@never_cache
def parts(request: HttpRequest, pk: int) -> HttpResponse:
    """Show all parts of a card."""
    return _show(request, card_to_show(pk))


def _show(request: HttpRequest, card: JobCard, refused: Refused | None = None) -> HttpResponse:
    """Show all parts of a card, with what was refused, if anything."""
    page = card_page(card, person_of(request))
    rows = parts_of(card)
    context = {"page": page, "parts": rows, "refused": refused, "came_from": "parts"}
    status = UNPROCESSABLE if refused else 200
    answer = render(request, "workshop/jobcards/parts.html", context, status=status)
    return keep_for(answer, person_of(request))


@require_POST
def draw(request: HttpRequest, pk: int, row_id: int) -> HttpResponse:
    """Draw a part for its task."""
    row = _row(pk, row_id)
    serial = request.POST.get("serial", "").strip()[:LONGEST_NUMBER]
    why = request.POST.get("fit_reason", "").strip()[:MOST_FIT_REASON]
    again = is_told_again(request, pk)
    try:
        quantity = _quantity(request)
        draw_part(
            row,
            quantity=quantity,
            by=person_of(request),
            key=key_of(request),
            serial=serial,
            fit_reason=why,
        )
    except (PartError, *REFUSALS) as error:
        return _refuse(request, row, error, serial=serial, fit_reason=why)
    if wants_json(request):
        return said(again=again)
    messages.success(request, f"Drawn: {plain(quantity)} {row.part.unit} {row.part.name}.")
    return _back(request, row)


@require_POST
def give_back(request: HttpRequest, pk: int, row_id: int) -> HttpResponse:
    """Give a part back that was not used."""
    row = _row(pk, row_id)
    again = is_told_again(request, pk)
    try:
        quantity = _quantity(request)
        give_part_back(row, quantity=quantity, by=person_of(request), key=key_of(request))
    except (PartError, *REFUSALS) as error:
        return _refuse(request, row, error, giving_back=True)
    if wants_json(request):
        return said(again=again)
    messages.success(request, f"Given back: {plain(quantity)} {row.part.unit} {row.part.name}.")
    return _back(request, row)


@require_POST
def scan(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw one of the part whose code was scanned; a safety-critical one asks for its number."""
    card = card_to_show(pk)
    code = request.POST.get("code", "").strip()
    part = part_of_code(code.replace("\0", ""))
    row = row_to_draw(card, part) if part else None
    if part is None:
        messages.error(
            request, f"No part has the code “{code[:60]}”. Scan again, or pick it below."
        )
    elif row is None:
        messages.error(
            request,
            f"{part.name} is not to be drawn for this card. What the card does not ask for is "
            "extra work.",
        )
    else:
        return _draw_scanned(request, row)
    return redirect("jobcards:parts", card.pk)


def _draw_scanned(request: HttpRequest, row: TaskPart) -> HttpResponse:
    """Draw one of what was scanned, less where less is wanted."""
    one = min(row.may_draw, Decimal(1))
    try:
        fresh = draw_part(row, quantity=one, by=person_of(request), key=key_of(request))
    except (PartError, *REFUSALS) as error:
        asked = Refused(row.pk, str(error), getattr(error, "field", ""), quantity=plain(one))
        return _show(request, card_to_show(row.task.card_id), asked)
    words = f"Drawn: {plain(one)} {row.part.unit} {row.part.name} for “{row.task}”."
    left = f" Still to be drawn: {plain(fresh.to_draw)}." if fresh.to_draw else ""
    messages.success(request, words + left)
    return redirect("jobcards:parts", row.task.card_id)


@require_POST
def reserve(request: HttpRequest, pk: int) -> HttpResponse:
    """Set aside what has come in since."""
    card = card_to_show(pk)
    try:
        reserve_parts(card, by=person_of(request), key=key_of(request))
    except REFUSALS as error:
        messages.error(request, str(error))
    else:
        short = [each for each in parts_of(card) if each.short]
        words = "Some parts are still not there." if short else "All parts are there now."
        messages.success(request, words)
    return redirect("jobcards:parts", card.pk)


def _row(pk: int, row_id: int) -> TaskPart:
    """Return a part's row on a card, or answer 404."""
    rows = TaskPart.objects.select_related("part", "task__card__bike", "reservation")
    return get_object_or_404(rows, pk=row_id, task__card=pk)


def _quantity(request: HttpRequest) -> Decimal:
    """Return the quantity typed.

    Raises:
        PartError: it is no number.
    """
    try:
        value: Decimal = QUANTITY.clean(request.POST.get("quantity", ""))
    except ValidationError as error:
        raise PartError(f"How many: {error.messages[0]}", "quantity") from error
    return value


def _refuse(
    request: HttpRequest,
    row: TaskPart,
    error: Exception,
    *,
    serial: str = "",
    fit_reason: str = "",
    giving_back: bool = False,
) -> HttpResponse:
    """Show the page that the form came from, with what was typed and why it was refused."""
    if wants_json(request):
        return said(str(error))
    refused = Refused(
        row=row.pk,
        words=str(error),
        field=getattr(error, "field", ""),
        quantity=request.POST.get("quantity", ""),
        serial=serial,
        fit_reason=fit_reason,
        giving_back=giving_back,
    )
    if request.POST.get("from") == "task":
        return show_task(request, row.task, refused=refused)
    return _show(request, card_to_show(row.task.card_id), refused)


def _back(request: HttpRequest, row: TaskPart) -> HttpResponse:
    """Go back to the page that the form came from, to the part's row."""
    if request.POST.get("from") == "task":
        url = reverse("jobcards:task", args=(row.task.card_id, row.task_id))
    else:
        url = reverse("jobcards:parts", args=(row.task.card_id,))
    return redirect(f"{url}#part-{row.pk}")
