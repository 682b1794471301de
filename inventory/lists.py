"""Lists: filtered, sorted and paged in one go, with a constant number of queries; or as a file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar

from django.db.models import Model, Q, QuerySet
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django_filters import FilterSet
from django_tables2 import RequestConfig, Table

from inventory.exporting.answering import KINDS, as_file, asked_for

ROWS_A_PAGE = 25
MANY_ROWS = 20_000
"""A workbook of more takes longer than anybody waits without being told."""
LONGEST_PAGE_NUMBER = 10
MOST_WORDS = 12
Row = TypeVar("Row", bound=Model)


def with_words(rows: QuerySet[Row], text: str, fields: Sequence[str]) -> QuerySet[Row]:
    """Return the rows in which every word of the text stands in one of the fields.

    A NUL, which PostgreSQL refuses to be asked for, parts words as a space does. Of a long text
    the first words are looked for: SQLite takes no condition of any depth.
    """
    for word in list(dict.fromkeys(text.replace("\0", " ").split()))[:MOST_WORDS]:
        found = Q()
        for field in fields:
            found |= Q(**{f"{field}__icontains": word})
        rows = rows.filter(found)
    return rows


def listing(
    request: HttpRequest,
    rows: QuerySet[Row] | Sequence[object],
    *,
    table: type[Table],
    filters: type[FilterSet] | None = None,
    **table_options: Any,
) -> dict[str, Any]:
    """Return the context of a list page: ``table``, ``filter_form`` and ``filters_used``.

    A page past the end shows the last one, any other that does not exist the first; an order
    that does not exist changes nothing.
    """
    context: dict[str, Any] = {"filters_used": 0}
    if filters is not None:
        chosen = filters(request.GET, queryset=rows, request=request)
        rows = chosen.qs
        context["filter_form"] = chosen.form
        context["filters_used"] = sum(1 for name in chosen.filters if request.GET.get(name))
    made = table(rows, **table_options)
    RequestConfig(request, paginate=False).configure(made)
    made.paginate(per_page=ROWS_A_PAGE)
    made.page = made.paginator.get_page(page_number(request.GET.get(made.prefixed_page_field)))
    return context | {"table": made}


def show_list(
    request: HttpRequest, template: str, context: dict[str, Any], *, status: int = 200
) -> HttpResponseBase:
    """Answer with a list's page, or with all its rows as a file where that is asked for.

    ``context`` is that of ``listing``, with whatever else the page shows. A file has the rows,
    their order and the columns of the page: it is asked for at the same address.
    """
    table = context.get("table")
    if table is not None:
        if kind := asked_for(request):
            return as_file(request, table, kind)
        table.export_kinds = KINDS
        table.export_takes_long = table.paginator.count > MANY_ROWS
    return render(request, template, context, status=status)


def page_number(text: str | None) -> int:
    """Return the page asked for, the first where it is no number above zero."""
    fits = text is not None and text.isdecimal() and len(text) < LONGEST_PAGE_NUMBER
    return max(1, int(text)) if text and fits else 1
