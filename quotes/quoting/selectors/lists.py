"""Quotes for lists: each by its latest revision."""

from __future__ import annotations

import datetime as dt

from django.db.models import Exists, OuterRef, QuerySet

from quotes.quoting.models import Revision, State
from workshop.bikes.models import Bike

SEARCHED = (
    "quote__number",
    "quote__bike__stock_no",
    "quote__bike__make",
    "quote__bike__model",
    "quote__bike__frame_number",
    "quote__customer__name",
)


def latest_revisions() -> QuerySet[Revision]:
    """Return the latest revision of every quote with quote, bike and customer, newest first."""
    newer = Revision.objects.filter(quote=OuterRef("quote"), number__gt=OuterRef("number"))
    rows = Revision.objects.filter(~Exists(newer))
    return rows.select_related("quote__bike", "quote__customer").order_by("-quote_id")


def with_revision_in(rows: QuerySet[Revision], state: str) -> QuerySet[Revision]:
    """Return the rows whose quote has a revision in a state, be it the latest or not."""
    there = Revision.objects.filter(quote=OuterRef("quote"), state=state)
    return rows.filter(Exists(there))


def past_their_date(rows: QuerySet[Revision], today: dt.date) -> QuerySet[Revision]:
    """Return the rows that wait for an answer though their date has passed."""
    return rows.filter(state=State.SENT, valid_until__lt=today)


def revisions_of(bike: Bike) -> QuerySet[Revision]:
    """Return the latest revision of each quote for a bike, newest first."""
    return latest_revisions().filter(quote__bike=bike)


def waiting() -> QuerySet[Revision]:
    """Return the sent revisions that wait for an answer, those that end soonest first."""
    rows = Revision.objects.filter(state=State.SENT, no_price=False)
    return rows.select_related("quote__bike", "quote__customer").order_by("valid_until", "pk")


def drafts() -> QuerySet[Revision]:
    """Return the drafts, oldest first."""
    rows = Revision.objects.filter(state=State.DRAFT)
    return rows.select_related("quote__bike", "quote__customer").order_by("pk")
