"""Suppliers of the demo shop, what they sell, and its first two orders."""

from __future__ import annotations

import csv
import datetime as dt
from decimal import Decimal
from pathlib import Path

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from inventory.core.money import quantise
from inventory.parts.models import Part
from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.models import PurchaseOrder
from inventory.purchasing.offers import offer_of
from inventory.purchasing.paper import ShopOnPaper
from inventory.purchasing.selectors import lines_of
from inventory.purchasing.verbs.make_drafts import Pick, make_drafts
from inventory.purchasing.verbs.place import place
from inventory.purchasing.verbs.receive import Came, Note, receive
from inventory.suppliers.models import Supplier, SupplierPart

FILE = Path(settings.BASE_DIR) / "fixtures" / "demo" / "suppliers.csv"
HELD_FOR_DAYS = 60
TERMS = ("contact", "email", "phone", "own_number", "terms", "currency")

FIRST = (("TR-1010", 1), ("TR-1044", 2), ("TR-3012", 3), ("TR-2310", 4))
"""What the first order was of; invented, as all of the demo is."""
SECOND = (("GW-HC1", 3), ("GW-FP2", 2), ("GW-HB6", 1))


@transaction.atomic
def enter_suppliers() -> int:
    """Enter the demo's suppliers with their articles, matched with parts; return how many articles.

    Entered twice they are there once. Names, terms and prices are invented.

    Raises:
        PurchaseError: the file names a part that the catalogue does not have.
    """
    with FILE.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    parts = {part.code: part for part in Part.objects.filter(code__in=[r["part"] for r in rows])}
    unknown = sorted({row["part"] for row in rows} - parts.keys())
    if unknown:
        raise PurchaseError(f"{FILE.name} names parts that are not known: {', '.join(unknown)}.")
    supplier = Supplier()
    for row in rows:
        if row["supplier"]:
            supplier = _supplier(row)
        _article(supplier, parts[row["part"]], row)
    return len(rows)


def _supplier(row: dict[str, str]) -> Supplier:
    """Return the supplier that a row begins."""
    facts = {name: row[name] for name in TERMS} | {
        "carriage_free_net": Decimal(row["carriage_free_net"]),
        "carriage_net": Decimal(row["carriage_net"]),
        "lead_days": int(row["lead_days"]),
    }
    return Supplier.objects.get_or_create(name=row["supplier"], defaults=facts)[0]


def _article(supplier: Supplier, part: Part, row: dict[str, str]) -> SupplierPart:
    """Return the article of a row, at its share of the part's usual cost."""
    pack, share = int(row["pack"]), Decimal(row["cost_share_of_usual"])
    cost = quantise(part.cost_net * pack * share, supplier.currency)
    facts = {
        "part": part,
        "name": row["name"],
        "pack": pack,
        "currency": supplier.currency,
        "list_price_net": cost,
        "cost_net": cost,
        "valid_from": timezone.localdate() - dt.timedelta(days=HELD_FOR_DAYS),
    }
    kept = SupplierPart.objects.get_or_create(supplier=supplier, code=row["code"], defaults=facts)
    return kept[0]


def order(codes: tuple[tuple[str, int], ...], *, by: AbstractBaseUser, shop: ShopOnPaper) -> int:
    """Order packs of articles by their codes; return the order's primary key."""
    articles = {each.code: each for each in SupplierPart.objects.select_related("supplier", "part")}
    picks = [
        Pick(articles[code].part or Part(), offer_of(articles[code]), packs)
        for code, packs in codes
    ]
    (draft,) = make_drafts(picks, by=by, key=f"demo:{codes[0][0]}")
    return place(draft, by=by, shop=shop).pk


def deliver_part(order_pk: int, *, by: AbstractBaseUser) -> None:
    """Take in all of an order but its last line, the first one a little dearer than ordered."""
    found = PurchaseOrder.objects.get(pk=order_pk)
    lines = lines_of(found)
    came = [Came(line, line.pieces) for line in lines[:-1]]
    dearer = quantise(lines[0].pack_cost_net * Decimal("1.04"), found.currency)
    came[0] = Came(lines[0], lines[0].pieces, dearer)
    receive(found, came, Note(reference="LS 80417"), by=by, key=f"demo:{found.number}")
