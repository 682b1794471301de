"""Starts a quote from what an inspection found."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from inventory.numbering.verbs.next_number import next_number
from quotes.quoting.models import Quote, Revision
from quotes.quoting.trail import signed
from quotes.quoting.verbs.gather import gather
from quotes.quoting.verbs.reprice import reprice
from workshop.bikes.models import Bike, Stage
from workshop.bikes.verbs.stages import move_to
from workshop.inspections.models import Inspection
from workshop.people.models import User

BEFORE_A_QUOTE = {Stage.INSPECTED, Stage.RELEASED, Stage.REFUSED, Stage.LEFT, Stage.BOUGHT}
"""From these stages a bike becomes “quote being drawn up” once somebody works on its quote."""


class AlreadyQuotedError(Exception):
    """Raised where there is a quote for the inspection; ``revision`` is its latest."""

    def __init__(self, revision: Revision) -> None:
        self.revision = revision
        super().__init__(
            f"{revision.quote.number} was made from this inspection. "
            "Go on with it, or revise it where it has been sent."
        )


@transaction.atomic
def start_quote(inspection: Inspection, by: User) -> Revision:
    """Make a quote from an inspection, priced with the prices of today, and return its draft.

    Raises:
        AlreadyQuotedError: there is one for this inspection.
        CannotPriceError: the catalogue lacks something that the price needs.
    """
    bike = Bike.objects.select_for_update().get(pk=inspection.bike_id)
    latest = _latest_of(inspection)
    if latest is not None:
        raise AlreadyQuotedError(latest)
    quote = Quote.objects.create(
        number=next_number("quote", "Q", 4),
        bike=bike,
        inspection=inspection,
        customer_id=bike.customer_id,
        created_by=by,
    )
    revision = Revision(quote=quote, number=1, priced_on=timezone.localdate(), created_by=by)
    signed(revision, by).save()
    gather(revision, by=by)
    draw_up(bike)
    return reprice(revision, by=by)


def draw_up(bike: Bike) -> None:
    """Move a bike to “quote being drawn up”, unless it stands somewhere that goes before."""
    if bike.stage in BEFORE_A_QUOTE:
        move_to(bike, Stage.QUOTED)


def _latest_of(inspection: Inspection) -> Revision | None:
    """Return the latest revision of the quote made from an inspection, or None."""
    rows = Revision.objects.filter(quote__inspection=inspection).select_related("quote__bike")
    return rows.order_by("-quote_id", "-number").first()
