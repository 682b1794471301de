"""What a part's page shows of this room: the orders in which it stands, and who waits for it."""

from __future__ import annotations

from inventory.parts.models import Part
from inventory.purchasing.selectors import open_lines_of
from inventory.stock.panels import PartPanel
from inventory.stock.wants import wants_of


def on_order_panel(part: Part) -> PartPanel:
    """Return what is on order of a part, and what waits for it."""
    context = {"open_lines": open_lines_of(part), "waiting": wants_of([part.pk])[part.pk]}
    return PartPanel("inventory/purchasing/on_order.html", context | {"part": part})
