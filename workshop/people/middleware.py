"""Refusing what the policy does not allow, and telling browsers to load nothing foreign."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

from workshop.people.policy import PUBLIC, allowed

Handler = Callable[[HttpRequest], HttpResponse]

CONTENT_SECURITY_POLICY = (
    "default-src 'self'; worker-src 'self'; img-src 'self' data: blob:; object-src 'none'; "
    "base-uri 'none'; frame-ancestors 'none'; form-action 'self'"
)


class PolicyMiddleware:
    """Refuse with 403 every view that the policy does not open to the person's role."""

    def __init__(self, get_response: Handler) -> None:
        """Keep the next handler."""
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on; the check is made once the URL is resolved."""
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *_view: Any) -> None:
        """Check the resolved URL name against the policy.

        Raises:
            PermissionDenied: the URL is not in the policy, or not for this role and method.
        """
        match = request.resolver_match
        name = match.view_name if match else ""
        if name in PUBLIC:
            return
        user = request.user
        if not user.is_authenticated or not allowed(user.role, name, request.method or ""):
            raise PermissionDenied


class ContentSecurityMiddleware:
    """Send a content security policy: own scripts, styles and pictures only."""

    def __init__(self, get_response: Handler) -> None:
        """Keep the next handler."""
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Add the header to the response."""
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", CONTENT_SECURITY_POLICY)
        return response
