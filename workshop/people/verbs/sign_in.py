"""Counts sign-ins that fail, and holds up who tries password after password."""

from __future__ import annotations

import datetime as dt

from django.db import transaction
from django.utils import timezone
from django.utils.crypto import salted_hmac

from workshop.people.models import FailedSignIn

MINUTES = 15
MOST_FROM_ONE_PLACE = 10
"""Failures of one login from one address within ``MINUTES`` before it has to wait."""
MOST_FROM_EVERYWHERE = 100
"""The same from all addresses together: many machines, one login."""


class TooManyFailuresError(Exception):
    """Raised while a login has to wait."""

    def __init__(self) -> None:
        super().__init__(
            f"Too many sign-ins with this name failed. Wait {MINUTES} minutes and try again, "
            "or ask a manager for a new password."
        )


def fingerprint(*texts: str) -> str:
    """Return what tells texts apart without telling what they are (64 letters and figures)."""
    return salted_hmac(__name__, "\0".join(texts), algorithm="sha256").hexdigest()


def check_sign_in(login: str, address: str) -> None:
    """See that this login may be tried from this address now.

    Raises:
        TooManyFailuresError: it failed too often of late.
    """
    login = login.casefold()
    since = timezone.now() - dt.timedelta(minutes=MINUTES)
    places = list(
        FailedSignIn.objects.filter(login=fingerprint(login), at__gt=since)
        .order_by("-at")
        .values_list("place", flat=True)[:MOST_FROM_EVERYWHERE]
    )
    here = places.count(fingerprint(login, address))
    if here >= MOST_FROM_ONE_PLACE or len(places) >= MOST_FROM_EVERYWHERE:
        raise TooManyFailuresError


@transaction.atomic
def note_failure(login: str, address: str) -> None:
    """Keep that a sign-in failed; forget those that are too old to count."""
    login, now = login.casefold(), timezone.now()
    FailedSignIn.objects.filter(at__lte=now - dt.timedelta(minutes=MINUTES)).delete()
    FailedSignIn.objects.create(login=fingerprint(login), place=fingerprint(login, address), at=now)


def note_success(login: str, address: str) -> None:
    """Forget the failures from the place where somebody now got in."""
    FailedSignIn.objects.filter(place=fingerprint(login.casefold(), address)).delete()
