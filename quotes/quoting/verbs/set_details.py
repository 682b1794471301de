"""Sets how long a draft is to stand, and the message to the customer."""

from __future__ import annotations

import datetime as dt

from django.db import transaction
from django.utils import timezone

from quotes.quoting.models import Revision
from quotes.quoting.trail import signed
from quotes.quoting.verbs.drafts import locked_draft
from workshop.people.models import User

LONGEST_DAYS = 366


class DetailsError(Exception):
    """Raised where the date is one that no quote can stand until."""


@transaction.atomic
def set_details(
    revision: Revision, *, valid_until: dt.date | None, message: str, by: User
) -> Revision:
    """Keep the date and the message; without a date the shop's usual days count from sending.

    Raises:
        FrozenError: the revision has been issued.
        DetailsError: the date lies in the past, or more than a year ahead.
    """
    refuse_date(valid_until)
    draft = locked_draft(revision)
    draft.valid_until, draft.message = valid_until, message
    signed(draft, by).save()
    return draft


def refuse_date(valid_until: dt.date | None) -> None:
    """Raise DetailsError for a date that no quote can stand until."""
    today = timezone.localdate()
    if valid_until is not None and valid_until < today:
        raise DetailsError(f"{valid_until:%-d %B %Y} is past. Choose today or a later day.")
    if valid_until is not None and valid_until > today + dt.timedelta(days=LONGEST_DAYS):
        raise DetailsError("A quote can stand for a year at most. Choose an earlier day.")
