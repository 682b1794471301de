"""Suppliers, their articles and their price lists as tests want them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

import factory
from django.core.files.uploadedfile import SimpleUploadedFile
from factory.django import DjangoModelFactory

from inventory.pricelists.models import CostRule, Incoming, State
from inventory.pricelists.verbs.read_on import read_on
from inventory.pricelists.verbs.send_in import send_in
from inventory.pricelists.verbs.settle import settle
from inventory.suppliers.models import Supplier, SupplierPart
from tests.factories.people import UserFactory

DAY = dt.date(2026, 3, 2)
HEAD = ("Code", "Name", "Price", "EAN", "Pack", "Discount")


class SupplierFactory(DjangoModelFactory[Supplier]):
    """Somebody who sells in pounds."""

    class Meta:
        model = Supplier

    name = factory.Sequence(lambda n: f"Wheelright Wholesale {n}")
    currency = "GBP"
    lead_days = 3


class ArticleFactory(DjangoModelFactory[SupplierPart]):
    """An article at a price that has held since the new year."""

    class Meta:
        model = SupplierPart

    supplier = factory.SubFactory(SupplierFactory)
    code = factory.Sequence(lambda n: f"A{n:04}")
    name = "Brake blocks, pair"
    currency = factory.SelfAttribute("supplier.currency")
    list_price_net = Decimal(10)
    cost_net = factory.SelfAttribute("list_price_net")
    valid_from = dt.date(2026, 1, 1)


def csv_of(rows: Iterable[Iterable[object]], head: Iterable[str] = HEAD) -> bytes:
    """Return a CSV file with a head and these rows."""
    return "\n".join(",".join(map(str, row)) for row in (head, *rows)).encode() + b"\n"


def sent(supplier: Supplier, data: bytes, name: str = "list.csv") -> Incoming:
    """Send a file in for a supplier."""
    return send_in(supplier, SimpleUploadedFile(name, data), by=UserFactory.create(), today=DAY)


def settled(incoming: Incoming, **facts: object) -> Incoming:
    """Settle a list as it was guessed, but for these facts."""
    told: dict[str, Any] = {
        "columns": incoming.columns,
        "decimal_mark": incoming.decimal_mark,
        "valid_from": DAY,
        "whole_range": True,
        "jump_share": Decimal("0.3"),
        "cost_rule": CostRule.ALL,
    }
    return settle(incoming, **(told | facts))


def read(supplier: Supplier, data: bytes, name: str = "list.csv", **facts: object) -> Incoming:
    """Send a file in and read it to its end."""
    incoming = settled(sent(supplier, data, name), **facts)
    while incoming.state == State.READING:
        incoming = read_on(incoming)
    return incoming
