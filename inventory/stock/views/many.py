"""Pages on which many parts are changed in one go: which, what becomes of them, looked over."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.paginator import Page, Paginator
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from inventory.core.money import quantise
from inventory.history import Change, shown
from inventory.lists import page_number
from inventory.parts.changing import Money, Outcome, Wish, money_on, outcomes
from inventory.parts.models import Part
from inventory.parts.verbs.change_many import ChangedMeanwhileError, change_many, tallied
from inventory.stock.many_forms import EVERY, TICKED, ManyForm
from inventory.stock.selectors import parts_for_list
from inventory.stock.tables import PartFilter
from inventory.stock.views import person, shop

OFFERED = 100
"""Parts to tick on the page; more are narrowed down or taken all together."""
ROWS_A_PAGE = 50
NOT_CARRIED = ("csrfmiddlewaretoken", "seal", "page", "look")
LONGEST_KEY = 18


@dataclass(frozen=True, slots=True)
class Row:
    """A part in the preview: what changes on it, in words, and why its price stays."""

    part: Part
    changes: list[Change]
    stays: str


def many(request: HttpRequest) -> HttpResponse:
    """Choose parts and what becomes of them; look it over; change them all or none."""
    asked = request.POST if request.method == "POST" else request.GET
    if request.method != "POST" and "look" not in asked:
        return choosing(request, asked, ManyForm.begun(asked))
    form = ManyForm(asked)
    keys = chosen(asked, request)
    if form.is_valid() and not keys:
        form.add_error(None, "No part is chosen. Tick some, or take all that are found.")
    if not form.is_valid():
        return choosing(request, asked, form, status=422)
    if request.method != "POST":
        return looked_over(request, asked, form.wish(), keys)
    try:
        done = change_many(keys, form.wish(), seal=asked.get("seal", ""), by=person(request))
    except ChangedMeanwhileError as error:
        messages.error(request, str(error))
        return redirect(f"{reverse('stock:many')}?{query(asked)}&look=1")
    messages.success(request, f"{done.changing} part{'' if done.changing == 1 else 's'} changed.")
    return redirect("stock:list")


def found(asked: QueryDict, request: HttpRequest) -> PartFilter:
    """Return the parts that the list's filter finds."""
    return PartFilter(asked, queryset=parts_for_list(), request=request)


def chosen(asked: QueryDict, request: HttpRequest) -> list[int]:
    """Return the keys of the parts ticked, or of all that are found."""
    if asked.get("which") == EVERY:
        return list(found(asked, request).qs.order_by("pk").values_list("pk", flat=True))
    ticked = [each for each in asked.getlist("pk") if each.isdecimal() and len(each) < LONGEST_KEY]
    rows = Part.objects.filter(pk__in=map(int, ticked[:OFFERED]))
    return list(rows.order_by("pk").values_list("pk", flat=True))


def choosing(
    request: HttpRequest, asked: QueryDict, form: ManyForm, *, status: int = 200
) -> HttpResponse:
    """Show which parts there are to choose and ask what becomes of them."""
    filters = found(asked, request)
    rows = filters.qs
    used = sum(1 for name in filters.filters if asked.get(name))
    context = {
        "filter_form": filters.form,
        "filters_used": used,
        "form": form,
        "rows": rows[:OFFERED],
        "count": rows.count(),
        "most": OFFERED,
        "carried": [pair for pair in pairs(asked) if pair[0] in filters.filters],
        "ticked": set(asked.getlist("pk")),
        "which": asked.get("which") or (EVERY if used else TICKED),
    }
    return render(request, "inventory/stock/many.html", context, status=status)


def looked_over(
    request: HttpRequest, asked: QueryDict, wish: Wish, keys: list[int]
) -> HttpResponse:
    """Show what each part is like before and after, and how many change."""
    rows = Part.objects.filter(pk__in=keys) if len(keys) <= OFFERED else found(asked, request).qs
    listed: Any = Keyed(rows.order_by("name", "pk"), len(keys))
    page: Page[Part] = Paginator(listed, ROWS_A_PAGE).get_page(page_number(asked.get("page")))
    money = money_on(timezone.localdate())
    told = [
        Row(each.part, list(in_words(each, money, shop(request))), each.stays)
        for each in outcomes(page.object_list, wish, money)
    ]
    context = {
        "tally": tallied(keys, wish),
        "rows": told,
        "page_obj": page,
        "carried": pairs(asked),
        "back": f"{reverse('stock:many')}?{query(asked)}",
    }
    return render(request, "inventory/stock/many_preview.html", context)


class Keyed:
    """Rows whose number is known, so that it is not counted again."""

    def __init__(self, rows: Any, count: int) -> None:  # noqa: ANN401 - a query or its like
        self.rows, self.known = rows, count

    def __len__(self) -> int:
        """Return the number."""
        return self.known

    def __getitem__(self, part: slice) -> Any:  # noqa: ANN401 - as above
        """Return some of the rows."""
        return self.rows[part]


def in_words(each: Outcome, money: Money, shop: Any) -> Iterator[Change]:  # noqa: ANN401 - of the layer above
    """Yield what differs on a part, as people read it; a price also with VAT."""
    for name, value in each.after.items():
        kept: Any = Part._meta.get_field(name)
        old = shown(kept, getattr(each.part, name), {}, shop)
        yield Change(str(kept.verbose_name), old, shown(kept, value, {}, shop))
    before, after = (
        quantise(net * (1 + money.rates[code]), shop.currency)
        for net, code in (
            (each.part.price_net, each.part.vat_code),
            (each.price_net, each.vat_code),
        )
    )
    if before != after:
        price: Any = Part._meta.get_field("price_net")
        yield Change("with VAT", shown(price, before, {}, shop), shown(price, after, {}, shop))


def pairs(asked: QueryDict) -> list[tuple[str, str]]:
    """Return what was asked, as a form carries it on."""
    return [
        (name, value)
        for name, values in asked.lists()
        if name not in NOT_CARRIED
        for value in values
        if value
    ]


def query(asked: QueryDict) -> str:
    """Return what was asked as the query of an address, which leads back to the choices."""
    kept = QueryDict(mutable=True)
    for name, value in pairs(asked):
        kept.appendlist(name, value)
    return kept.urlencode()
