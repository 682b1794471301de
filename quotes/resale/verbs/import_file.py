"""Adds the comparables of a file: all of them, or none."""

from __future__ import annotations

from django.db import transaction
from simple_history.utils import bulk_create_with_history

from quotes.resale.importing.planning import Plan, plan_import
from quotes.resale.models import Comparable
from workshop.people.models import User
from workshop.shop.models import Shop

BATCH = 500


class CannotImportError(Exception):
    """Raised where a file is not what was looked at before; ``plan`` says what it is now."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        super().__init__("What this file adds has changed since it was looked at. Look again.")


@transaction.atomic
def import_file(data: bytes, *, expected: int, by: User, shop: Shop) -> list[Comparable]:
    """Return the comparables added: those in the file that are not here already.

    ``expected`` is how many were to be added when the file was looked at. The shop's row is
    locked, so that a file sent twice at once adds its rows once.

    Raises:
        CannotImportError: there is something wrong in the file, or it adds another number of rows.
        SheetError: it cannot be read as a table of comparables.
    """
    Shop.objects.select_for_update().get(pk=shop.pk)
    plan = plan_import(data, shop)
    if plan.problems or len(plan.new) != expected:
        raise CannotImportError(plan)
    made = [Comparable(entered_by=by, **facts) for _, facts in plan.new]
    for each in made:
        each.set_keys()
    kept = bulk_create_with_history(made, Comparable, batch_size=BATCH, default_user=by)
    return list(kept)
