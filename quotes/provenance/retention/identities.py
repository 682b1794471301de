"""Sellers' identities that are due."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from django.db.models import Max

from quotes.provenance.models import RetentionKind, SellerIdentity
from quotes.provenance.retention.due import Due
from workshop.bikes.models import Bike, Stage

Cutoffs = Mapping[RetentionKind, dt.datetime]


def due(cutoffs: Cutoffs) -> dict[RetentionKind, list[Due]]:
    """Return the identities that are due, by whether the bike was bought.

    Of a bike that was bought they are kept from the last time that anything happened to its
    record, of any other from the end of the check (its beginning where it has none).
    """
    last = last_changes()
    bought = bought_bikes()
    found: dict[RetentionKind, list[Due]] = {
        RetentionKind.NOT_BOUGHT: [],
        RetentionKind.BOUGHT: [],
    }
    rows = SellerIdentity.objects.select_related("provenance__bike").order_by("pk")
    for identity in rows:
        check = identity.provenance
        since = check.concluded_at or check.started_at
        kind = RetentionKind.NOT_BOUGHT
        if check.bike_id in bought:
            kind, since = RetentionKind.BOUGHT, max(since, last.get(check.bike_id, since))
        if kind in cutoffs and since < cutoffs[kind]:
            found[kind].append(Due(identity.pk, f"{identity}, {check.bike.stock_no}", since))
    return found


def bought_bikes() -> set[int]:
    """Return the bikes that are, or ever were, bought in."""
    now = Bike.objects.filter(stage=Stage.BOUGHT).values_list("pk", flat=True)
    once = Bike.history.filter(stage=Stage.BOUGHT).values_list("id", flat=True)
    return {*now, *once}


def last_changes() -> dict[int, dt.datetime]:
    """Return when each bike's record was last changed."""
    rows = Bike.history.order_by().values("id").annotate(last=Max("history_date"))
    return {row["id"]: row["last"] for row in rows}
