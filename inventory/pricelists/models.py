"""A price list on its way in: the file, how it is read, its rows, what is wrong in it."""

from __future__ import annotations

import shutil
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import uuid4

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.fields import SHARE_LIMITS, MoneyField
from inventory.reading.rows import Kind
from inventory.reading.tables import Table
from inventory.suppliers.models import PriceList, Supplier, SupplierPart

SHARE: dict[str, Any] = {"max_digits": 6, "decimal_places": 4}
FOLDER = "price-lists"


class State(models.TextChoices):
    """Where an incoming price list stands."""

    SENT = "sent", "columns to be told"
    READING = "reading", "being read"
    READ = "read", "to be looked at"
    STUCK = "stuck", "cannot be read"
    APPLIED = "applied", "applied"
    DISCARDED = "discarded", "discarded"


class CostRule(models.TextChoices):
    """What applying a list does to the cost of our matched parts."""

    ALL = "all", "take the new cost, dearer or cheaper"
    CHEAPEST = "cheapest", "take it only where nobody sells the part cheaper"
    NONE = "none", "leave our costs as they are"


class Difference(models.TextChoices):
    """How a row of a list differs from the price that holds."""

    NEW = "new", "new"
    DEARER = "dearer", "dearer"
    CHEAPER = "cheaper", "cheaper"
    JUMP = "jump", "suspicious jump"
    OTHERWISE = "otherwise", "other name, pack or GTIN"
    SAME = "same", "unchanged"


CHANGED = (Difference.DEARER, Difference.CHEAPER, Difference.JUMP, Difference.OTHERWISE)
OPEN = (State.SENT, State.READING, State.READ, State.STUCK)


def stored_as(_incoming: Incoming, name: str) -> str:
    """Return where a file is kept: under a name of ours, never under the one it came with."""
    return f"{FOLDER}/{uuid4().hex}{Path(name).suffix.lower()[:6]}"


class Mapping(models.Model):
    """How a supplier's lists are read, as it was told the last time.

    ``columns`` are the names of the list's columns by what stands in them.
    """

    supplier = models.OneToOneField(Supplier, on_delete=models.CASCADE, related_name="mapping")
    columns = models.JSONField(default=dict)
    encoding = models.CharField(max_length=20, blank=True)
    delimiter = models.CharField(max_length=1, blank=True)
    decimal_mark = models.CharField(max_length=1, blank=True)
    jump_share = models.DecimalField(default=Decimal("0.3"), validators=SHARE_LIMITS, **SHARE)
    cost_rule = models.CharField(max_length=10, choices=CostRule.choices, default=CostRule.ALL)
    whole_range = models.BooleanField(default=True)

    class Meta:
        """Names."""

        verbose_name = "mapping of columns"

    def __str__(self) -> str:
        """Return whose lists are read so."""
        return f"columns of {self.supplier}"


class Incoming(models.Model):
    """A price list that was sent in.

    ``columns`` are places by what stands in them. ``offset`` and ``row`` are the byte and the row
    up to which it is read, ``size`` the bytes there are to read. ``read_against`` is the
    supplier's version that the rows were compared with.
    """

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="incoming")
    name = models.CharField("file", max_length=200)
    file = models.FileField("stored file", upload_to=stored_as)
    state = models.CharField("state", max_length=10, choices=State.choices, default=State.SENT)
    kind = models.CharField(max_length=5, choices=[(each.value, each.value) for each in Kind])
    encoding = models.CharField("encoding", max_length=20, blank=True)
    delimiter = models.CharField("delimiter", max_length=1, blank=True)
    sheet = models.PositiveSmallIntegerField("sheet", default=0)
    sheets = models.JSONField("sheets", default=list)
    merged = models.PositiveIntegerField("merged cells", default=0)
    head_row = models.PositiveIntegerField("row with the columns' names", default=1)
    head = models.JSONField("columns' names", default=list)
    columns = models.JSONField("columns", default=dict)
    decimal_mark = models.CharField("decimal mark", max_length=1, blank=True)
    valid_from = models.DateField("prices hold from")
    whole_range = models.BooleanField("everything the supplier sells is in it", default=True)
    jump_share = models.DecimalField(
        "a jump is suspicious beyond", default=Decimal("0.3"), validators=SHARE_LIMITS, **SHARE
    )
    cost_rule = models.CharField(
        "our parts' cost", max_length=10, choices=CostRule.choices, default=CostRule.ALL
    )
    size = models.PositiveBigIntegerField(default=0)
    offset = models.PositiveBigIntegerField(default=0)
    row = models.PositiveIntegerField("rows read", default=0)
    read_against = models.PositiveIntegerField(default=0)
    counts = models.JSONField("rows by difference", default=dict)
    wrong = models.PositiveIntegerField("rows with something wrong", default=0)
    passed = models.PositiveIntegerField("rows without code and price", default=0)
    vanished = models.PositiveIntegerField("no longer in the list", default=0)
    message = models.CharField("why it cannot be read", max_length=500, blank=True)
    sent_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    sent_at = models.DateTimeField("sent in", auto_now_add=True)
    applied = models.OneToOneField(
        PriceList, on_delete=models.PROTECT, null=True, related_name="incoming"
    )

    class Meta:
        """Newest first."""

        ordering = ("-sent_at", "-pk")
        verbose_name = "incoming price list"
        constraints = (
            models.CheckConstraint(
                condition=Q(state=State.APPLIED, applied__isnull=False)
                | (~Q(state=State.APPLIED) & Q(applied__isnull=True)),
                name="incoming_applied_has_a_price_list",
            ),
        )

    def __str__(self) -> str:
        """Return the file's name."""
        return self.name

    @property
    def rows_read(self) -> int:
        """Return how many rows were read below the one with the columns' names."""
        return max(self.row - self.head_row, 0)

    @property
    def folder(self) -> Path:
        """Return where the file is unpacked."""
        return Path(self.file.path).with_suffix(".unpacked")

    @property
    def table(self) -> Table:
        """Return how the file is read."""
        return Table(Kind(self.kind), self.encoding, self.delimiter, self.sheet, tuple(self.sheets))

    @property
    def is_open(self) -> bool:
        """Tell whether it is neither applied nor discarded."""
        return self.state in OPEN

    @property
    def per_cent(self) -> int:
        """Return how far it is read."""
        return 100 if self.state == State.READ else min(99, self.offset * 100 // max(self.size, 1))

    def clear_folder(self) -> None:
        """Delete what was unpacked."""
        shutil.rmtree(self.folder, ignore_errors=True)


class ReadRow(models.Model):
    """A row as it was read, with how it differs from ``was``, the price that holds."""

    incoming = models.ForeignKey(Incoming, on_delete=models.CASCADE, related_name="rows")
    number = models.PositiveIntegerField("row")
    code = models.CharField("code", max_length=60)
    gtin = models.CharField("GTIN", max_length=14, blank=True)
    name = models.CharField("name", max_length=200)
    pack = models.PositiveIntegerField("pack", default=1)
    list_price_net = MoneyField("list price, net")
    discount = models.DecimalField("discount", default=Decimal(0), **SHARE)
    cost_net = MoneyField("cost, net")
    difference = models.CharField("difference", max_length=10, choices=Difference.choices)
    was = models.ForeignKey(SupplierPart, on_delete=models.CASCADE, null=True, related_name="+")

    class Meta:
        """A code stands once in a list."""

        ordering = ("number",)
        constraints = (
            models.UniqueConstraint(fields=("incoming", "code"), name="readrow_code_once"),
        )
        indexes = (
            models.Index(fields=("incoming", "difference", "number"), name="readrow_by_difference"),
        )

    def __str__(self) -> str:
        """Return the code and the name."""
        return f"{self.code} {self.name}"


class Problem(models.Model):
    """What is wrong in a cell of a list; ``code`` is the row's article, where it can be told."""

    incoming = models.ForeignKey(Incoming, on_delete=models.CASCADE, related_name="problems")
    number = models.PositiveIntegerField("row")
    column = models.CharField("column", max_length=80, blank=True)
    cell = models.CharField("what stands there", max_length=120, blank=True)
    message = models.CharField("what to do", max_length=300)
    code = models.CharField("code", max_length=60, blank=True)

    class Meta:
        """By row."""

        ordering = ("number", "pk")
        indexes = (models.Index(fields=("incoming", "code"), name="problem_by_code"),)

    def __str__(self) -> str:
        """Return the row and what is wrong."""
        return f"row {self.number}: {self.message}"
