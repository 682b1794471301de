"""The lists of incoming price lists, of their differences, and of what is wrong in one."""

from __future__ import annotations

from decimal import Decimal

import django_tables2 as tables

from inventory.core.cells import Money, Share
from inventory.core.money import format_money
from inventory.pricelists.models import Incoming, Problem, ReadRow
from inventory.pricelists.selectors import change_of
from inventory.suppliers.models import SupplierPart

NUMBER = {"td": {"class": "number"}, "th": {"class": "number"}}
MONEY = {"td": {"class": "money"}, "th": {"class": "money"}}
LEAN = "tables/lean.html"


class IncomingTable(tables.Table):
    """Lists that were sent in, newest first."""

    name = tables.Column("File", linkify=("pricelists:page", {"pk": tables.A("pk")}))
    sent_at = tables.DateTimeColumn(verbose_name="Sent in", format="j M Y, H:i")

    class Meta:
        model = Incoming
        fields = ("name", "supplier", "state", "sent_at", "sent_by")
        template_name = LEAN
        order_by = "-sent_at"
        empty_text = "No price list was sent in yet"


class InCurrency(tables.Table):
    """A table whose amounts are in the supplier's currency."""

    def __init__(self, *args: object, currency: str, locale: str, **kwargs: object) -> None:
        """Take the currency and the shop's way of writing."""
        super().__init__(*args, **kwargs)
        self.currency, self.locale = currency, locale

    def money(self, amount: Decimal) -> str:
        """Return an amount with its currency."""
        return format_money(amount, self.currency, self.locale)

    def render_cost_net(self, value: Decimal) -> str:
        """Return the cost."""
        return self.money(value)

    def render_list_price_net(self, value: Decimal) -> str:
        """Return the list price."""
        return self.money(value)


class NewTable(InCurrency):
    """Articles that the supplier did not sell before."""

    number = tables.Column("Row", attrs=NUMBER)
    pack = tables.Column("Pack", attrs=NUMBER)
    list_price_net = tables.Column("List price", attrs=MONEY)
    cost_net = tables.Column("Cost, net", attrs=MONEY)

    class Meta:
        model = ReadRow
        fields = ("code", "name", "number", "gtin", "pack", "list_price_net", "cost_net")
        template_name = LEAN
        order_by = "number"
        empty_text = "None"


class ChangedTable(InCurrency):
    """Articles beside the price that holds; ``change`` is that of one piece."""

    number = tables.Column("Row", attrs=NUMBER)
    pack = tables.Column("Pack", attrs=NUMBER)
    was = tables.Column("Cost so far", attrs=MONEY, order_by=("was__cost_net",))
    cost_net = tables.Column("New cost, net", attrs=MONEY)
    change = tables.Column("A piece", empty_values=(), attrs=NUMBER, orderable=False)
    part = tables.Column(
        "Our part", accessor="was__part", default="not matched", order_by=("was__part__name",)
    )

    class Meta:
        model = ReadRow
        fields = ("code", "name", "number", "pack", "was", "cost_net", "change", "part")
        template_name = LEAN
        order_by = "number"
        empty_text = "None"

    def render_was(self, value: SupplierPart) -> str:
        """Return the cost that holds, and its pack where that was another."""
        return self.money(value.cost_net) + (f" for {value.pack}" if value.pack != 1 else "")

    def value_was(self, value: SupplierPart) -> Money | str:
        """Return the cost that holds for a file; with its pack, where that was another, as text."""
        return self.render_was(value) if value.pack != 1 else Money(value.cost_net, self.currency)

    def value_change(self, record: ReadRow) -> Share | None:
        """Return the change for a file."""
        share = change_of(record)
        return None if share is None else Share(share)

    def render_change(self, record: ReadRow) -> str:
        """Return the change in per cent."""
        share = change_of(record)
        return "–" if share is None else f"{share * 100:+.1f} %".replace("-", "−")


class VanishedTable(InCurrency):
    """Articles that hold and are not in the list."""

    cost_net = tables.Column("Cost so far", attrs=MONEY)
    part = tables.Column("Our part", default="not matched", order_by=("part__name",))

    class Meta:
        model = SupplierPart
        fields = ("code", "name", "pack", "cost_net", "part")
        template_name = LEAN
        order_by = "code"
        empty_text = "None"


class ProblemTable(tables.Table):
    """What is wrong, by row and column."""

    number = tables.Column("Row")

    class Meta:
        model = Problem
        fields = ("number", "column", "cell", "message")
        template_name = LEAN
        order_by = "number"
        empty_text = "Nothing is wrong"
