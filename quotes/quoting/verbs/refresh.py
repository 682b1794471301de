"""Brings a draft in step with the bike's latest inspection and with the prices of today."""

from __future__ import annotations

from django.db import transaction

from quotes.quoting.models import Revision
from quotes.quoting.verbs.drafts import locked_draft
from quotes.quoting.verbs.gather import gather
from quotes.quoting.verbs.reprice import reprice
from workshop.inspections.selectors import latest_inspection
from workshop.people.models import User


@transaction.atomic
def refresh(revision: Revision, by: User) -> Revision:
    """Fetch findings and prices anew, keeping what was chosen and changed by hand.

    Raises:
        FrozenError: the revision has been issued.
        CannotPriceError: the catalogue lacks something that the price needs.
    """
    draft = locked_draft(revision)
    inspection = latest_inspection(draft.quote.bike) or draft.quote.inspection
    if draft.quote.inspection_id != inspection.pk:
        draft.quote.inspection = inspection
        draft.quote.save(update_fields=["inspection"])
    gather(draft, by=by)
    return reprice(draft, by=by)
