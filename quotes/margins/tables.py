"""The list of parts with their margins."""

from __future__ import annotations

from decimal import Decimal

import django_tables2 as tables

from inventory.core.cells import Cell, Share
from inventory.core.money import format_money
from inventory.stock.models import plain
from quotes.margins.selectors import PartMargin

NUMBER = {"td": {"class": "number"}, "th": {"class": "number"}}
MONEY = {"td": {"class": "money"}, "th": {"class": "money"}}
PERCENT = Decimal(100)


class AmountColumn(tables.Column):
    """An amount in the shop's currency."""

    def __init__(self, name: str) -> None:
        super().__init__(name, attrs=MONEY)

    def render(self, value: Decimal, table: tables.Table) -> str:
        """Return it in the shop's way."""
        shop = table.request.shop
        return format_money(value, shop.currency, shop.locale)


class MarginTable(tables.Table):
    """Parts with what was charged for them, what they cost, and what is left."""

    part = tables.Column(
        "Part",
        accessor="part__name",
        linkify=("stock:part", {"pk": tables.A("part__pk")}),
    )
    charged_for = tables.Column("Charged for", attrs=NUMBER)
    used = tables.Column("Used", attrs=NUMBER)
    charged = AmountColumn("Charged, net")
    cost = AmountColumn("Cost, net")
    margin = AmountColumn("Margin, net")
    share = tables.Column("Share", attrs=NUMBER, orderable=False, empty_values=())

    class Meta:
        template_name = "tables/lean.html"
        empty_text = "No repair with parts was released in this time."

    def render_charged_for(self, value: Decimal) -> str:
        """Return how many, without needless zeros."""
        return plain(value)

    def render_used(self, record: PartMargin) -> str:
        """Return how many, and that it differs where it does."""
        return f"{plain(record.used)} (differs)" if record.differs else plain(record.used)

    def value_used(self, record: PartMargin) -> Cell:
        """Return how many, for a file."""
        return record.used

    def render_share(self, record: PartMargin) -> str:
        """Return the share in per cent; a dash where nothing was charged."""
        return in_per_cent(record.share)

    def value_share(self, record: PartMargin) -> Cell:
        """Return the share for a file."""
        return None if record.share is None else Share(round(record.share, 4))


def in_per_cent(share: Decimal | None) -> str:
    """Return a share in whole per cent; a dash where there is none."""
    return "–" if share is None else f"{share * PERCENT:.0f} %"
