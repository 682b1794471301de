"""Pages of the catalogue: what there is, a list, a record's form, what was changed."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Model
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inventory.lists import listing, show_list
from workshop.catalogue.registry import Kind, all_kinds, kind_named
from workshop.catalogue.tables import CatalogueTable, columns_of, filters_of
from workshop.catalogue.verbs.supersede_rule import NotInForceError
from workshop.people.policy import allowed
from workshop.people.selectors import person_of, sees_costs
from workshop.shop.selectors import shop_of


def index(request: HttpRequest) -> HttpResponse:
    """Show the kinds by what they are for, each with how to change one."""
    groups = [
        (group.value, list(kinds)) for group, kinds in groupby(all_kinds(), lambda each: each.group)
    ]
    return render(request, "workshop/catalogue/index.html", {"groups": groups})


def kind_or_404(slug: str) -> Kind:
    """Return the kind of a URL.

    Raises:
        Http404: there is none of that name.
    """
    kind = kind_named(slug)
    if kind is None:
        raise Http404(f"The catalogue has no “{slug}”.")
    return kind


def record_list(request: HttpRequest, kind: str) -> HttpResponseBase:
    """Show all records of a kind, searched, narrowed and sorted."""
    chosen = kind_or_404(kind)
    may_edit = allowed(person_of(request).role, "catalogue:edit", "POST")
    columns = columns_of(
        chosen, shop_of(request), sees_costs=sees_costs(request), may_edit=may_edit
    )
    context = listing(
        request,
        chosen.rows(),
        table=CatalogueTable,
        filters=filters_of(chosen),
        extra_columns=columns,
        sequence=[name for name, _ in columns],
    )
    return show_list(request, "workshop/catalogue/list.html", context | {"kind": chosen})


def new(request: HttpRequest, kind: str) -> HttpResponse:
    """Enter a record."""
    chosen = kind_or_404(kind)
    return edited(request, chosen, None)


def edit(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Change a record, or say why it may not be changed and what to do instead."""
    chosen = kind_or_404(kind)
    record = get_object_or_404(chosen.model, pk=pk)
    if chosen.closed(record, timezone.localdate()):
        return form_page(request, chosen, record, None, ())
    if request.method == "POST" and "retire" in request.POST and chosen.retire:
        return retired(request, chosen, record)
    return edited(request, chosen, record)


def retired(request: HttpRequest, kind: Kind, record: Model) -> HttpResponse:
    """Let a record hold no longer, and go back to the list."""
    assert kind.retire is not None  # noqa: S101 - for the type
    try:
        kind.retire(record)
    except NotInForceError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"“{record}” holds no longer.")
    return redirect("catalogue:list", kind.slug)


def edited(request: HttpRequest, kind: Kind, record: Model | None) -> HttpResponse:
    """Show the form with its rows, or save both and go back to the list."""
    posted = request.POST if request.method == "POST" else None
    options: dict[str, Any] = {
        "shop": shop_of(request),
        "sees_costs": sees_costs(request),
        "costs": kind.costs,
    }
    form = kind.form(posted, instance=record, initial=request.GET.dict(), **options)
    rows = [
        each(posted, instance=form.instance, prefix=f"rows{place}")
        for place, each in enumerate(kind.formsets)
    ]
    if posted is not None and is_valid(kind, form, rows) and save(kind, form, rows):
        messages.success(request, f"{kind.one[0].upper()}{kind.one[1:]} saved.")
        return redirect("catalogue:list", kind.slug)
    return form_page(request, kind, record, form, rows)


def is_valid(
    kind: Kind,
    form: forms.ModelForm,  # type: ignore[type-arg] # not subscriptable at run time
    rows: Sequence[forms.BaseInlineFormSet],  # type: ignore[type-arg] # the same
) -> bool:
    """Check form and rows, then what concerns both."""
    if not all([form.is_valid(), *(each.is_valid() for each in rows)]):
        return False
    kind.check(form, rows)
    return not form.errors


def save(
    kind: Kind,
    form: forms.ModelForm,  # type: ignore[type-arg] # not subscriptable at run time
    rows: Sequence[forms.BaseInlineFormSet],  # type: ignore[type-arg] # the same
) -> bool:
    """Save all or nothing; False, with the reason in the form, where it was refused."""
    try:
        with transaction.atomic():
            kind.save(form, rows)
    except NotInForceError as error:
        form.add_error(None, str(error))
    except ValidationError as error:
        form.add_error(None, error.messages)
    return not form.errors


def form_page(
    request: HttpRequest,
    kind: Kind,
    record: Model | None,
    form: forms.ModelForm | None,  # type: ignore[type-arg] # not subscriptable at run time
    rows: Sequence[forms.BaseInlineFormSet],  # type: ignore[type-arg] # the same
) -> HttpResponse:
    """Show a record's form, with 422 where something in it is wrong; or why there is none."""
    wrong = form is not None and form.is_bound
    context = {
        "kind": kind,
        "record": record,
        "form": form,
        "rows": rows,
        "closed": kind.closed(record, timezone.localdate()) if record and form is None else "",
    }
    status = 422 if wrong else 409 if form is None and request.method == "POST" else 200
    return render(request, "workshop/catalogue/form.html", context, status=status)


def history(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Show who changed what on a record, and when."""
    chosen = kind_or_404(kind)
    record = get_object_or_404(chosen.model, pk=pk)
    hide = () if sees_costs(request) else chosen.costs
    context = {
        "kind": chosen,
        "record": record,
        "history": chosen.history(record, shop_of(request), hide),
    }
    return render(request, "workshop/catalogue/history.html", context)
