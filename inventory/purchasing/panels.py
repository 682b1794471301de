"""What a part's page shows of this room: the orders in which it stands."""

from __future__ import annotations

from inventory.parts.models import Part
from inventory.purchasing.selectors import open_lines_of
from inventory.stock.panels import PartPanel


def on_order_panel(part: Part) -> PartPanel:
    """Return what is on order of a part."""
    return PartPanel("inventory/purchasing/on_order.html", {"open_lines": open_lines_of(part)})
