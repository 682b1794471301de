"""How a PDF is answered: shown in the browser's window, saved under a name of its own."""

from __future__ import annotations

from django.http import HttpResponse

PDF_POLICY = "default-src 'self'; object-src 'self'; style-src 'unsafe-inline'; base-uri 'none'"
"""The site's own policy forbids embedded objects; browsers show a PDF as one."""


def shown_pdf(body: bytes, name: str) -> HttpResponse:
    """Return a PDF that the browser shows in its window, and saves under the name given."""
    response = HttpResponse(body, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="{name}"'
    response.headers["Content-Security-Policy"] = PDF_POLICY
    return response
