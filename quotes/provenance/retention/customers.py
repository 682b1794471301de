"""Customers who are due: to be deleted where nothing hangs on them, else to be anonymised."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Iterator, Mapping

from django.db.models import Exists, Max, Model, OuterRef, Q, QuerySet

from quotes.provenance.models import (
    AnonymisedCustomer,
    ProvenanceCheck,
    RetentionKind,
    SellerIdentity,
)
from quotes.provenance.retention.due import Due, Kept
from quotes.quoting.models import Quote, Revision, SentDocument
from workshop.bikes.models import Bike
from workshop.customers.models import Customer

Cutoffs = Mapping[RetentionKind, dt.datetime]
KNOWN: tuple[type[Model], ...] = (Bike, Quote, ProvenanceCheck, AnonymisedCustomer)
"""Records of a customer of which it is known when something last happened to them."""


def due(cutoffs: Cutoffs, *, identities_gone: Collection[int]) -> dict[RetentionKind, list[Due]]:
    """Return the customers that are due; ``identities_gone`` are due before them."""
    found: dict[RetentionKind, list[Due]] = {}
    if cutoff := cutoffs.get(RetentionKind.IDLE):
        idle = _without(related_models(), Customer.objects.filter(created_at__lt=cutoff))
        found[RetentionKind.IDLE] = [_due(each, each.created_at) for each in idle]
    if cutoff := cutoffs.get(RetentionKind.DEALT):
        held = SellerIdentity.objects.exclude(pk__in=identities_gone)
        busy = set(held.values_list("provenance__seller_id", flat=True))
        rest = _without(foreign_models(), _dealt(cutoff))
        found[RetentionKind.DEALT] = [
            _due(each, last) for each, last in _with_last(rest, cutoff) if each.pk not in busy
        ]
    return found


def held_back(cutoffs: Cutoffs) -> Iterator[Kept]:
    """Yield the customers who would be due but for records of which no date is known here."""
    cutoff = cutoffs.get(RetentionKind.DEALT)
    for model in foreign_models() if cutoff else ():
        there = Customer.objects.filter(_in(model))
        for each in there.filter(created_at__lt=cutoff).order_by("pk"):
            yield Kept(
                f"Customer {each.pk}, {each}", f"stands in {model._meta.verbose_name_plural}"
            )


def documents_of(customers: Iterable[int]) -> Iterator[Kept]:
    """Yield what was issued to customers and names them still: it stays as it was sent."""
    rows = SentDocument.objects.filter(revision__quote__customer__in=list(customers))
    for row in rows.select_related("revision__quote").defer("pdf").order_by("pk"):
        yield Kept(
            f"{row.revision}: the PDF as it was sent, and the name in its answer",
            "what was issued is kept as it is; it goes with the shop's books",
        )


def related_models() -> list[type[Model]]:
    """Return every model that points to customers, whichever room keeps it."""
    return [each.related_model for each in Customer._meta.related_objects]


def foreign_models() -> list[type[Model]]:
    """Return those that this room knows no date of."""
    return [each for each in related_models() if each not in KNOWN]


def _in(model: type[Model]) -> Q:
    """Return the condition that a row of a model points to the customer."""
    names = [
        relation.field.name
        for relation in Customer._meta.related_objects
        if relation.related_model is model
    ]
    rows: QuerySet[Model] = QuerySet(model)
    found = Q(pk__in=[])
    for name in names:
        found |= Q(Exists(rows.filter(**{name: OuterRef("pk")})))
    return found


def _without(models: Iterable[type[Model]], rows: QuerySet[Customer]) -> QuerySet[Customer]:
    """Return the customers to whom no row of these models points."""
    for model in models:
        rows = rows.exclude(_in(model))
    return rows.order_by("pk")


def _dealt(cutoff: dt.datetime) -> QuerySet[Customer]:
    """Return customers with records, not anonymised yet, entered before a moment."""
    rows = Customer.objects.filter(created_at__lt=cutoff, anonymised_by__isnull=True)
    return rows.filter(_in(Bike) | _in(Quote) | _in(ProvenanceCheck))


def _with_last(
    rows: QuerySet[Customer], cutoff: dt.datetime
) -> Iterator[tuple[Customer, dt.datetime]]:
    """Yield customers with when something last happened to them, if that was before a moment."""
    lasts = _last_dealings()
    for each in rows:
        last = max(each.created_at, lasts.get(each.pk, each.created_at))
        if last < cutoff:
            yield each, last


def _last_dealings() -> dict[int, dt.datetime]:
    """Return when anything last happened to a customer's bikes, quotes and provenance checks."""
    found: dict[int, dt.datetime] = {}
    sources: list[tuple[QuerySet[Model], str, str]] = [
        (Bike.history.all(), "customer_id", "history_date"),
        (Bike.objects.all(), "customer_id", "booked_in_at"),
        (Quote.objects.all(), "customer_id", "created_at"),
        (Revision.objects.all(), "quote__customer_id", "created_at"),
        (Revision.objects.all(), "quote__customer_id", "sent_at"),
        (Revision.objects.all(), "quote__customer_id", "answer__at"),
        (ProvenanceCheck.objects.all(), "seller_id", "started_at"),
        (ProvenanceCheck.objects.all(), "seller_id", "concluded_at"),
    ]
    for rows, who, when in sources:
        for row in rows.order_by().values(who).annotate(last=Max(when)):
            if row["last"] and row[who] is not None:
                found[row[who]] = max(found.get(row[who], row["last"]), row["last"])
    return found


def _due(customer: Customer, since: dt.datetime) -> Due:
    """Return a customer as due."""
    return Due(customer.pk, f"customer {customer.pk}, {customer}", since)
