"""Reading customers."""

from __future__ import annotations

from django.db.models import Count, Q, QuerySet

from inventory.lists import with_words
from workshop.customers.models import Customer

SEARCHED = ("name", "phone", "email", "address")


def customers_for_list() -> QuerySet[Customer]:
    """Return all customers, each with ``bike_count``."""
    return Customer.objects.annotate(bike_count=Count("bikes"))


def customers_with(text: str, most: int = 8) -> list[Customer]:
    """Return the first customers in whom every word of the text stands, none for no text.

    A phone number is found with or without its spaces.
    """
    if not text.strip():
        return []
    found = with_words(Customer.objects.all(), text, SEARCHED)[:most]
    return list(found) or same_phone(text)[:most]


def same_phone(text: str) -> list[Customer]:
    """Return the customers whose phone number has the same figures, however it is written."""
    figures = figures_of(text)
    if not figures:
        return []
    rows = Customer.objects.exclude(phone="").filter(phone__contains=figures[-1])
    return [each for each in rows if figures_of(each.phone) == figures]


def figures_of(phone: str) -> str:
    """Return the figures of a phone number."""
    return "".join(each for each in phone if each.isdecimal())


def likely_the_same(name: str, phone: str, email: str) -> list[Customer]:
    """Return customers of the same name who have the same phone number or e-mail."""
    figures = figures_of(phone)
    same = Customer.objects.filter(name__iexact=name.strip())
    return [
        each
        for each in same.filter(~Q(phone="") | ~Q(email=""))
        if (figures and figures_of(each.phone) == figures)
        or (email and each.email.casefold() == email.casefold())
    ]
