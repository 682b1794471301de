"""Provenance checks as tests want them: made by the room's own verbs."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils import timezone

from quotes.provenance.models import (
    Document,
    Proof,
    ProvenanceCheck,
    RegisterResult,
    RetentionKind,
    RetentionRule,
)
from quotes.provenance.verbs.conclude import pass_check, refuse
from quotes.provenance.verbs.note_proof import note_proof
from quotes.provenance.verbs.note_register import note_register
from quotes.provenance.verbs.note_seller import SellerSeen, note_seller
from quotes.provenance.verbs.note_signed import note_signed
from quotes.provenance.verbs.read_frame import read_frame
from quotes.provenance.verbs.start import start_check
from tests.factories.bikes import BikeFactory
from tests.factories.people import CustomerFactory, UserFactory
from workshop.bikes.models import Bike
from workshop.customers.models import Customer

NAME, ADDRESS = "Ada Moss", "3 Mill Row\nNowhere"


def seller(**fields: Any) -> Customer:
    """Return a customer whose record has an address."""
    return CustomerFactory.create(**{"name": NAME, "address": ADDRESS} | fields)


def seen(**fields: Any) -> SellerSeen:
    """Return a passport that says what the record says."""
    shown: dict[str, Any] = {
        "document": Document.PASSPORT,
        "name": NAME,
        "address": ADDRESS,
        "adult": True,
        "number": "PZ 123 QXJK",
    }
    return SellerSeen(**shown | fields)


def opened(bike: Bike | None = None, **fields: Any) -> ProvenanceCheck:
    """Return an open check of a bike that a seller with an address offers."""
    bike = bike or BikeFactory.create(**{"customer": seller()} | fields)
    return start_check(bike, UserFactory.create(desk=True))


def complete(
    bike: Bike | None = None, *, register: str = RegisterResult.NOT_LISTED, **fields: Any
) -> ProvenanceCheck:
    """Return an open check in which every step is done."""
    check = opened(bike, **fields)
    desk, mechanic = UserFactory.create(desk=True), UserFactory.create()
    note_seller(check, seen())
    read_frame(check, check.bike.frame_number, desk)
    read_frame(check, check.bike.frame_number, mechanic)
    note_proof(check, proof=Proof.RECEIPT, note="2019, another shop")
    note_register(check, result=register, on=timezone.localdate(), by=desk)
    note_signed(check, signed=True, by=desk)
    return ProvenanceCheck.objects.get(pk=check.pk)


def passed(bike: Bike | None = None, **fields: Any) -> ProvenanceCheck:
    """Return a check that was passed."""
    return pass_check(complete(bike, **fields), UserFactory.create(desk=True))


def refused(bike: Bike | None = None, reason: str = "Nothing fits.") -> ProvenanceCheck:
    """Return a check that was refused, with the seller noted."""
    check = opened(bike)
    note_seller(check, seen())
    return refuse(check, reason=reason, by=UserFactory.create(desk=True))


def rules(**months: int) -> None:
    """Set retention rules, by kind."""
    for kind, count in months.items():
        RetentionRule.objects.create(kind=RetentionKind(kind), months=count, source="a test")


def days_ago(days: int) -> dt.datetime:
    """Return the moment so many days ago."""
    return timezone.now() - dt.timedelta(days=days)
