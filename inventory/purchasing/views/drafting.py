"""Pages on which an order comes to be: what is short, changing a draft, adding to it."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.forms import AddForm, DraftForm, ShortForm, ShortRow, choices_in
from inventory.purchasing.paper import OrderMoney
from inventory.purchasing.selectors import articles_to_add
from inventory.purchasing.shortage import MOST_SHOWN, Group, shortages, shown
from inventory.purchasing.verbs.add_article import add_article
from inventory.purchasing.verbs.change_draft import change_draft
from inventory.purchasing.verbs.discard import discard
from inventory.purchasing.verbs.make_drafts import make_drafts
from inventory.purchasing.views import money_of, page_of
from inventory.stock.views import person, posted, sees_costs, shop
from inventory.suppliers.models import SupplierPart


@dataclass(frozen=True, slots=True)
class GroupShown:
    """A supplier's group with the fields of its parts, and the supplier's way of writing money."""

    group: Group
    rows: list[ShortRow]
    money: OrderMoney | None


def short_list(request: HttpRequest) -> HttpResponse:
    """Show what is short by supplier; make drafts of what is ticked, or reckon anew."""
    data = posted(request)
    groups = shortages(shop(request).currency, choices_in(data) if data else None)
    form = ShortForm(data, groups=groups, sees_costs=sees_costs(request))
    if data is not None and data.get("do") != "reckon" and form.is_valid():
        try:
            made = make_drafts(form.picks(), by=person(request), key=form.cleaned_data["key"])
        except PurchaseError as error:
            form.add_error(None, str(error))
        else:
            names = ", ".join(each.supplier.name for each in made)
            messages.success(request, f"In drafts now, for {names}. Look them over and order.")
            return redirect("purchasing:order", made[0].pk) if len(made) == 1 else _drafts()
    if data is not None and data.get("do") == "reckon":
        form = ShortForm(_reckoned(data, groups), groups=groups, sees_costs=sees_costs(request))
    status = 422 if data is not None and data.get("do") != "reckon" else 200
    context = {"form": form, "groups": _shown(request, groups, form), "most": _most(groups)}
    return render(request, "inventory/purchasing/short.html", context, status=status)


def _reckoned(data: object, groups: list[Group]) -> dict[str, str]:
    """Return what was sent with the packs that the offers chosen make."""
    known = {name: value for name, value in data.items() if value}  # type: ignore[attr-defined] # a QueryDict
    for group in groups:
        for row in group.rows:
            if row.chosen:
                known[f"packs-{row.part.pk}"] = str(row.packs or 1)
    return known


def _drafts() -> HttpResponse:
    """Go to the drafts."""
    response = redirect("purchasing:list")
    response["Location"] += "?state=draft"
    return response


def _most(groups: list[Group]) -> int:
    """Return how many parts are shown where there may be more; else 0."""
    return MOST_SHOWN if shown(groups) >= MOST_SHOWN else 0


def _shown(request: HttpRequest, groups: list[Group], form: ShortForm) -> list[GroupShown]:
    """Return the groups with the fields of their parts."""
    locale = shop(request).locale
    return [
        GroupShown(
            group,
            [form.row(each.part.pk) for each in group.rows],
            OrderMoney(group.supplier.currency, locale) if group.supplier else None,
        )
        for group in groups
    ]


def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a draft's packs, prices and note."""
    page = page_of(pk)
    if not page.order.is_draft:
        return redirect("purchasing:order", pk)
    form = DraftForm(
        posted(request), page=page, sees_costs=sees_costs(request), locale=shop(request).locale
    )
    if request.method == "POST" and form.is_valid():
        try:
            change_draft(page.order, form.changes(), note=form.cleaned_data["note"])
        except PurchaseError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "The draft is saved.")
            return redirect("purchasing:order", pk)
    context = {"form": form, "page": page, "order": page.order}
    status = 422 if form.errors else 200
    return render(request, "inventory/purchasing/change.html", context, status=status)


def add(request: HttpRequest, pk: int) -> HttpResponse:
    """Look for articles of the supplier and add them to a draft."""
    page = page_of(pk)
    if not page.order.is_draft:
        return redirect("purchasing:order", pk)
    form = AddForm(posted(request))
    if request.method == "POST" and form.is_valid():
        article = get_object_or_404(SupplierPart, pk=form.cleaned_data["article"])
        try:
            line = add_article(
                page.order,
                article,
                packs=form.cleaned_data["packs"],
                key=form.cleaned_data["key"],
            )
        except PurchaseError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"Added: {line}.")
            return redirect("purchasing:order", pk)
    text = request.GET.get("q", "")
    context = {
        "form": form,
        "page": page,
        "order": page.order,
        "order_money": money_of(request, page),
        "q": text,
        "articles": articles_to_add(page.order.supplier, text),
        "there": {row.line.article_id for row in page.rows},
    }
    status = 422 if form.errors else 200
    return render(request, "inventory/purchasing/add.html", context, status=status)


@require_POST
def throw_away(request: HttpRequest, pk: int) -> HttpResponse:
    """Throw a draft away."""
    order = page_of(pk).order
    try:
        discard(order)
    except PurchaseError as error:
        messages.warning(request, str(error))
        return redirect("purchasing:order", pk)
    messages.success(request, f"The draft for {order.supplier} is thrown away.")
    return redirect("purchasing:list")
