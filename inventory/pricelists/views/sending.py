"""Pages on which a price list is sent in and its columns are told."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inventory.core.sheets import SheetError
from inventory.lists import listing, show_list
from inventory.pricelists.forms import ColumnsForm, SendForm, WrittenForm
from inventory.pricelists.models import Incoming, State
from inventory.pricelists.selectors import incoming_for_list, sample_of
from inventory.pricelists.tables import IncomingTable
from inventory.pricelists.verbs.send_in import read_otherwise, send_in
from inventory.pricelists.verbs.settle import NotOpenError, settle
from inventory.suppliers.models import Supplier

FORM = "inventory/pricelists/columns.html"


def person_of(request: HttpRequest) -> AbstractBaseUser:
    """Return the person who is signed in; raises ``PermissionDenied`` where nobody is."""
    if not isinstance(request.user, AbstractBaseUser):
        raise PermissionDenied
    return request.user


def incoming_list(request: HttpRequest) -> HttpResponseBase:
    """Show the lists that were sent in."""
    context = listing(request, incoming_for_list(), table=IncomingTable)
    return show_list(request, "inventory/pricelists/list.html", context)


def send(request: HttpRequest, supplier_id: int) -> HttpResponse:
    """Take a supplier's file in and go on to its columns."""
    supplier = get_object_or_404(Supplier, pk=supplier_id)
    form = SendForm(request.POST, request.FILES) if request.method == "POST" else SendForm()
    if form.is_valid():
        try:
            made = send_in(
                supplier,
                form.cleaned_data["file"],
                by=person_of(request),
                today=timezone.localdate(),
            )
        except SheetError as error:
            form.add_error("file", str(error))
        else:
            return redirect("pricelists:columns", made.pk)
    waiting = supplier.incoming.filter(state__in=(State.SENT, State.READING, State.READ))
    context = {"form": form, "supplier": supplier, "waiting": waiting}
    status = 422 if form.errors else 200
    return render(request, "inventory/pricelists/send.html", context, status=status)


def columns(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the first rows; take how the file is written, or what its columns hold."""
    incoming = get_object_or_404(Incoming.objects.select_related("supplier"), pk=pk)
    if not incoming.is_open:
        return redirect("pricelists:page", pk)
    written = None
    if request.method == "POST" and "written" in request.POST:
        written = WrittenForm(request.POST, incoming=incoming)
        if written.is_valid():
            try:
                read_otherwise(incoming, **written.facts())
            except SheetError as error:
                written.add_error(None, str(error))
            else:
                return redirect("pricelists:columns", pk)
    return _columns_page(request, incoming, written)


def _columns_page(
    request: HttpRequest, incoming: Incoming, written: WrittenForm | None
) -> HttpResponse:
    """Show the page, or settle the columns and go on to reading."""
    try:
        sample = sample_of(incoming)
    except SheetError as error:
        messages.error(request, str(error))
        return redirect("pricelists:send", incoming.supplier_id)
    told = request.POST if request.method == "POST" and "columns" in request.POST else None
    form = ColumnsForm(told, instance=incoming, today=timezone.localdate(), width=len(sample.head))
    if told is not None and form.is_valid():
        try:
            settle(incoming, columns=form.columns(), **form.facts())
        except NotOpenError as error:
            messages.warning(request, str(error))
        return redirect("pricelists:page", incoming.pk)
    context = {
        "incoming": incoming,
        "sample": sample,
        "form": form,
        "column_fields": [form[name] for name in form.fields if name.startswith("column_")],
        "written": written or WrittenForm(incoming=incoming),
    }
    status = 422 if form.errors or (written and written.errors) else 200
    return render(request, FORM, context, status=status)
