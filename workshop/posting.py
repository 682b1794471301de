"""Pages with a form: what was sent, and the answer with what is wrong in it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render


def posted(request: HttpRequest) -> QueryDict | None:
    """Return what was sent, even where that is nothing; None where the page is only asked for."""
    return request.POST if request.method == "POST" else None


def form_page(
    request: HttpRequest, template: str, form: forms.BaseForm, context: dict[str, Any]
) -> HttpResponse:
    """Show a form with its context, with 422 where something in it is wrong."""
    status = 422 if form.errors else 200
    return render(request, template, {"form": form, **context}, status=status)
