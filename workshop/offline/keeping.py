"""Says of a page that the browser's worker may keep it for a dead spot, and for whom."""

from __future__ import annotations

from django.http import HttpResponse

from workshop.people.models import User

KEEP_FOR = "X-Keep-For"


def keep_for(response: HttpResponse, person: User) -> HttpResponse:
    """Return the answer marked to be kept on the device, for this person and nobody else.

    Only for pages without the shop's costs and margins: a kept page can be read by whoever holds
    the device until its owner signs out.
    """
    response.headers[KEEP_FOR] = str(person.pk)
    return response
