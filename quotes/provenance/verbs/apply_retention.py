"""Deletes and anonymises what is due by the retention rules, all of it or nothing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from django.db import models, transaction
from simple_history.exceptions import NotHistoricalModelError
from simple_history.utils import get_history_manager_for_model

from quotes.provenance.models import (
    AnonymisedCustomer,
    RetentionKind,
    RetentionRun,
    SellerIdentity,
)
from quotes.provenance.retention.others import keepers
from quotes.provenance.retention.plan import plan_on
from workshop.customers.models import Customer

BLANK = {"phone": "", "email": "", "address": "", "note": ""}
NO_NAME = "anonymised customer"


@transaction.atomic
def apply_retention(day: dt.date) -> RetentionRun:
    """Do what is due on a day and return the record of it, which holds counts only.

    What was issued stays as it was sent; so do the rows that bikes and quotes point to, without
    the person's name, address and how to reach them.
    """
    plan = plan_on(day)
    identities = plan.pks(RetentionKind.NOT_BOUGHT, RetentionKind.BOUGHT)
    idle, dealt = plan.pks(RetentionKind.IDLE), plan.pks(RetentionKind.DEALT)
    SellerIdentity.objects.filter(pk__in=identities).delete()
    Customer.objects.filter(pk__in=idle).delete()
    anonymised = {**BLANK, "name": NO_NAME}
    names = sum(each.delete({kind: plan.pks(kind) for kind in each.kinds}) for each in keepers())
    Customer.objects.filter(pk__in=dealt).update(**anonymised)
    run = RetentionRun.objects.create(
        identities_deleted=len(identities),
        customers_deleted=len(idle),
        customers_anonymised=len(dealt),
        names_deleted=names,
        history_scrubbed=scrub_history(Customer, [*idle, *dealt], anonymised),
        kept=len(plan.kept),
    )
    AnonymisedCustomer.objects.bulk_create(
        AnonymisedCustomer(customer_id=pk, run=run) for pk in dealt
    )
    return run


def scrub_history(model: type[models.Model], pks: Sequence[int], blank: Mapping[str, Any]) -> int:
    """Blank these columns in the history of records and return in how many rows.

    A model without history has none to scrub.
    """
    try:
        history = get_history_manager_for_model(model)
    except NotHistoricalModelError:
        return 0
    return int(history.filter(id__in=pks).update(**blank))
