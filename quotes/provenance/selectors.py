"""Reading provenance checks: those of a bike, how it stands, what speaks against buying."""

from __future__ import annotations

from django.db import models
from django.db.models import QuerySet
from django.utils.formats import date_format

from quotes.provenance.models import IdentityKeeping, ProvenanceCheck, State
from quotes.provenance.standing import lacking
from workshop.bikes.models import Bike, normal_frame_number


class Standing(models.TextChoices):
    """How a bike stands with its provenance."""

    NONE = "none", "not checked"
    OPEN = "open", "check not finished"
    PASSED = "passed", "passed"
    REFUSED = "refused", "refused"


def with_people(rows: QuerySet[ProvenanceCheck]) -> QuerySet[ProvenanceCheck]:
    """Return checks with their bike, seller, identity and everybody who had a hand in them."""
    return rows.select_related(
        "bike",
        "seller",
        "identity",
        "frame_first_by",
        "frame_second_by",
        "register_by",
        "signed_seen_by",
        "started_by",
        "concluded_by",
    )


def check_for_page(pk: int) -> QuerySet[ProvenanceCheck]:
    """Return the one check with everything its page shows."""
    return with_people(ProvenanceCheck.objects.filter(pk=pk))


def checks_of(bike: Bike) -> QuerySet[ProvenanceCheck]:
    """Return the checks of a bike, newest first; the newest one stands, the others are past."""
    return with_people(ProvenanceCheck.objects.filter(bike=bike))


def provenance_of(bike: Bike) -> Standing:
    """Return how a bike stands: by its newest check."""
    return standing_of(checks_of(bike).first())


def standing_of(check: ProvenanceCheck | None) -> Standing:
    """Return how a bike stands whose newest check is given."""
    return Standing.NONE if check is None else Standing(check.state)


def reasons_not_to_buy(bike: Bike) -> list[str]:
    """Return what speaks against buying a bike by where it comes from; empty where nothing does."""
    return reasons_against(checks_of(bike).first(), bike)


def reasons_against(check: ProvenanceCheck | None, bike: Bike) -> list[str]:
    """Return what speaks against buying a bike whose newest check is given."""
    if check is None:
        return ["Where the bike comes from has not been checked."]
    if check.state == State.OPEN:
        missing = lacking(check)
        return missing or ["The provenance check is complete but has not been concluded."]
    if check.state == State.REFUSED and check.concluded_at:
        day = date_format(check.concluded_at, "j F Y")
        return [f"Refused on {day}: {check.refusal}"]
    return changed_since(check, bike)


def changed_since(check: ProvenanceCheck, bike: Bike) -> list[str]:
    """Return what was changed on the bike since its check was passed."""
    reasons = []
    if normal_frame_number(check.frame_first) != (bike.frame_key or ""):
        reasons.append("The bike's frame number was changed after the provenance check.")
    if check.seller_id != bike.customer_id:
        reasons.append("The bike has another seller now than the one who was checked.")
    return reasons


def number_rule() -> IdentityKeeping:
    """Return how much of a document's number is kept; the last four characters unless changed."""
    return IdentityKeeping.objects.filter(pk=1).first() or IdentityKeeping(pk=1)
