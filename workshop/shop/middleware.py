"""The shop on every request, read only when it is asked for."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils.functional import SimpleLazyObject

from workshop.shop.selectors import shop_of


class ShopMiddleware:
    """Set ``request.shop``."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        """Keep the next handler."""
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Attach the shop lazily and pass the request on."""
        request.shop = SimpleLazyObject(lambda: shop_of(request))  # type: ignore[attr-defined]
        return self.get_response(request)
