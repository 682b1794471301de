"""What every request goes through: an address that can be read, and the shop."""

from __future__ import annotations

from collections.abc import Callable

from django.core.exceptions import SuspiciousOperation
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


class AddressMiddleware:
    """Refuse with 400 an address with a NUL in it, which no page of the site ever has.

    A database may refuse to be asked for one, so it would end in an error.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        """Keep the next handler."""
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Look at the path and the query, and pass the request on.

        Raises:
            SuspiciousOperation: there is a NUL; Django answers with the page for 400.
        """
        if "\0" in request.path_info or "%00" in request.META.get("QUERY_STRING", ""):
            raise SuspiciousOperation("There is a NUL in the address.")
        return self.get_response(request)
