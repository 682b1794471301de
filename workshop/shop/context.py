"""The shop for templates."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from workshop.shop.selectors import shop_of


def shop(request: HttpRequest) -> dict[str, Any]:
    """Give templates ``shop``."""
    return {"shop": shop_of(request)}
