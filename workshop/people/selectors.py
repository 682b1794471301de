"""Reading people, and the person who is signed in."""

from __future__ import annotations

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import HttpRequest

from workshop.people.models import User
from workshop.shop.selectors import shop_of


def person_of(request: HttpRequest) -> User:
    """Return the person who is signed in.

    Raises:
        PermissionDenied: nobody is.
    """
    if not isinstance(request.user, User):
        raise PermissionDenied
    return request.user


def sees_costs(request: HttpRequest) -> bool:
    """Tell whether the shop's own costs and margins may be shown to the person signed in."""
    return person_of(request).may_see_costs(shop_of(request))


def people_for_list() -> QuerySet[User]:
    """Return everybody with a login, those in use first."""
    return User.objects.order_by("-is_active", "username")
