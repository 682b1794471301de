"""Addresses of the pages of the stock."""

from django.urls import reverse

from inventory.parts.models import Part

LIST, REPORT = reverse("stock:list"), reverse("stock:report")


def page_of(part: Part) -> str:
    """Return the address of a part's page."""
    return reverse("stock:part", args=(part.pk,))


def move_of(part: Part, kind: str) -> str:
    """Return the address of the form that books one kind of movement."""
    return reverse("stock:move", args=(part.pk, kind))
