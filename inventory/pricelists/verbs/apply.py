"""Applies a price list: all of it in one transaction, or nothing."""

from __future__ import annotations

from django.contrib.auth.models import AbstractBaseUser
from django.db import connection, transaction
from django.db.models import F, QuerySet, Value

from inventory.pricelists.comparing import vanished_from
from inventory.pricelists.costs import take_costs
from inventory.pricelists.models import CHANGED, Difference, Incoming, ReadRow, State
from inventory.pricelists.verbs.settle import NotOpenError
from inventory.suppliers.matching import match_by_gtin
from inventory.suppliers.models import PriceList, Supplier, SupplierPart

INSERTED = {
    "supplier": "incoming__supplier_id",
    "part": "was__part_id",
    "code": "code",
    "gtin": "gtin",
    "name": "name",
    "pack": "pack",
    "currency": "incoming__supplier__currency",
    "list_price_net": "list_price_net",
    "discount": "discount",
    "cost_net": "cost_net",
    "price_list": "new_list",
    "valid_from": "incoming__valid_from",
}


class CannotApplyError(Exception):
    """Raised where a list cannot be applied as it was asked; the text says what to do."""


class ChangedSinceError(CannotApplyError):
    """Raised where the supplier's articles have changed since the list was compared with them."""

    def __init__(self) -> None:
        super().__init__(
            "This supplier's articles have changed since the list was read. Read it again and look "
            "at the differences."
        )


@transaction.atomic
def apply(
    incoming: Incoming,
    *,
    by: AbstractBaseUser,
    currency: str,
    leave_wrong: bool = False,
    jumps: str = "",
) -> PriceList:
    """Return the price list that holds from here on.

    Prices that change are ended and new ones begin, articles that vanished are ended where the
    list holds everything, and our parts' costs follow by the list's rule. ``currency`` is the
    shop's. ``leave_wrong`` leaves the rows out in which something is wrong; ``jumps`` is "take" or
    "leave" for the suspicious ones.

    Raises:
        NotOpenError: it is applied or discarded already.
        ChangedSinceError: the supplier's articles are no longer those it was compared with.
        CannotApplyError: it is not read to its end, or a choice is missing.
    """
    kept = Incoming.objects.select_for_update().get(pk=incoming.pk)
    supplier = Supplier.objects.select_for_update().get(pk=kept.supplier_id)
    check(kept, supplier, leave_wrong=leave_wrong, jumps=jumps)
    rows = kept.rows.exclude(difference=Difference.SAME)
    if jumps == "leave":
        rows = rows.exclude(difference=Difference.JUMP)
    vanished = vanished_from(kept) if kept.whole_range else SupplierPart.objects.none()
    made = PriceList.objects.create(
        supplier=supplier, name=kept.name, valid_from=kept.valid_from, applied_by_id=by.pk
    )
    made.ended = vanished.update(valid_until=kept.valid_from)
    made.changed = SupplierPart.objects.filter(
        pk__in=rows.filter(difference__in=CHANGED).values("was")
    ).update(valid_until=kept.valid_from)
    made.added = insert(rows, made) - made.changed
    match_by_gtin(supplier)
    take_costs(made, kept.cost_rule, currency=currency, by=by)
    made.save()
    Supplier.objects.filter(pk=supplier.pk).update(version=F("version") + 1)
    finish(kept, made)
    return made


def check(kept: Incoming, supplier: Supplier, *, leave_wrong: bool, jumps: str) -> None:
    """Refuse what cannot be applied."""
    if not kept.is_open:
        raise NotOpenError(kept)
    if kept.state != State.READ:
        raise CannotApplyError("This list is not read to its end yet. Read on first.")
    if kept.read_against != supplier.version:
        raise ChangedSinceError
    if kept.wrong and not leave_wrong:
        raise CannotApplyError(
            f"Something is wrong in {kept.wrong:,} rows. Mend them and send the list again, or "
            "tick that they are to be left out."
        )
    if kept.counts.get(Difference.JUMP) and jumps not in {"take", "leave"}:
        raise CannotApplyError("There are suspicious jumps. Choose whether to take or leave them.")
    newest = SupplierPart.objects.filter(
        supplier=supplier, valid_until__isnull=True, valid_from__gt=kept.valid_from
    )
    if newest.exists():
        raise CannotApplyError(
            f"Prices that hold began after {kept.valid_from:%d.%m.%Y}. Choose a later day from "
            "which this list holds."
        )


def insert(rows: QuerySet[ReadRow], made: PriceList) -> int:
    """Write the rows as articles, within the database, and return how many."""
    chosen = rows.order_by().annotate(new_list=Value(made.pk)).values_list(*INSERTED.values())
    query, values = chosen.query.sql_with_params()
    meta = SupplierPart._meta
    quoted = connection.ops.quote_name
    columns = {each.name: each.column or "" for each in meta.concrete_fields}
    names = ", ".join(quoted(columns[name]) for name in INSERTED)
    with connection.cursor() as cursor:
        cursor.execute(f"INSERT INTO {quoted(meta.db_table)} ({names}) {query}", values)
        return int(cursor.rowcount)


def finish(kept: Incoming, made: PriceList) -> None:
    """Say that the list is applied; what was kept aside for it goes."""
    kept.state, kept.applied = State.APPLIED, made
    kept.save()
    kept.rows.all().delete()
    transaction.on_commit(kept.clear_folder)
