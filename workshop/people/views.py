"""Pages about people, and the first page."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def home(request: HttpRequest) -> HttpResponse:
    """Show what waits today."""
    return render(request, "workshop/people/home.html")
