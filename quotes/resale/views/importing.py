"""Pages that import comparables from a file: the guide, the look before, the adding."""

from __future__ import annotations

import base64

from django.contrib import messages
from django.core import signing
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from inventory.core.sheets import SheetError
from quotes.resale.importing.checking import LIMITS
from quotes.resale.importing.columns import COLUMNS, template
from quotes.resale.importing.planning import Plan, plan_import
from quotes.resale.verbs.import_file import CannotImportError, import_file
from workshop.people.selectors import person_of
from workshop.shop.selectors import shop_of

SHOWN = 50
SALT = "comparables"
KEPT_SECONDS = 24 * 60 * 60


def look(request: HttpRequest) -> HttpResponse:
    """Show the guide; of a file sent here, what it would add or what is wrong in it."""
    if request.method != "POST":
        return _guide(request)
    upload = request.FILES.get("file")
    if not isinstance(upload, UploadedFile):
        return _guide(request, "Choose a file first.")
    if (upload.size or 0) > LIMITS.file_bytes:
        return _guide(
            request, f"The file is larger than {LIMITS.file_bytes // 1000} kB. Send it in parts."
        )
    data = upload.read()
    try:
        plan = plan_import(data, shop_of(request))
    except SheetError as error:
        return _guide(request, str(error), upload.name or "")
    return _look_page(request, plan, data, upload.name or "")


def add(request: HttpRequest) -> HttpResponse:
    """Add what was looked at; where that has changed meanwhile, show it anew."""
    try:
        kept = signing.loads(request.POST.get("kept", ""), salt=SALT, max_age=KEPT_SECONDS)
    except signing.BadSignature:
        return _guide(request, "The look at this file has expired. Send the file again.")
    data = base64.b64decode(kept["data"])
    try:
        made = import_file(
            data, expected=kept["expected"], by=person_of(request), shop=shop_of(request)
        )
    except CannotImportError as error:
        return _look_page(request, error.plan, data, kept["name"], changed=str(error))
    count = "1 comparable is" if len(made) == 1 else f"{len(made)} comparables are"
    messages.success(request, f"{count} added from {kept['name']}.")
    return redirect("resale:list")


def template_file(request: HttpRequest) -> HttpResponse:
    """Send a file with the columns' names and an example, marked as UTF-8 for spreadsheets."""
    return HttpResponse(
        template().encode("utf-8-sig"),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": 'attachment; filename="comparables.csv"'},
    )


def _guide(request: HttpRequest, error: str = "", name: str = "") -> HttpResponse:
    context = {
        "columns": COLUMNS,
        "rows": f"{LIMITS.rows:,}",
        "kilobytes": LIMITS.file_bytes // 1000,
        "error": error,
        "name": name,
    }
    status = 422 if error else 200
    return render(request, "quotes/resale/import.html", context, status=status)


def _look_page(
    request: HttpRequest, plan: Plan, data: bytes, name: str, changed: str = ""
) -> HttpResponse:
    """Show a plan; the file rides along, signed, so that what is added is what was shown."""
    kept = ""
    if plan.new and not plan.problems:
        content = base64.b64encode(data).decode("ascii")
        kept = signing.dumps(
            {"name": name, "expected": len(plan.new), "data": content}, salt=SALT, compress=True
        )
    context = {
        "plan": plan,
        "name": name,
        "kept": kept,
        "changed": changed,
        "problems": plan.problems[:SHOWN],
        "more_problems": max(0, len(plan.problems) - SHOWN),
        "new": plan.new[:SHOWN],
        "more_new": max(0, len(plan.new) - SHOWN),
        "twins": plan.twins[:SHOWN],
        "more_twins": max(0, len(plan.twins) - SHOWN),
    }
    status = 422 if plan.problems or changed else 200
    return render(request, "quotes/resale/look.html", context, status=status)
