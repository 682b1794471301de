"""What the database itself refuses of the stock book: see ``inventory.triggers``.

Rows are written once. A seller's name and the receipt with it may be deleted, as retention asks;
invoices and credit notes are the shop's books and stay. A migration that alters one of these
tables starts with ``RunPython(remove(...), install(...))`` of its guards and ends with the
reverse. Each tuple is what one migration installs.
"""

from __future__ import annotations

from inventory.triggers import Guard

PURCHASE, SALE, LINE = "sales_purchase", "sales_sale", "sales_line"
CREDIT, PARTY, PAPER = "sales_creditnote", "sales_party", "sales_paper"
REVERSAL, REDUCTION = "sales_reversal", "sales_reduction"

STAYS = "What stands in the stock book stays as it is; a sale is taken back with a credit note."
SOLD = "This bike is sold. It can be sold again once it has been taken back."
CLOSED = "The invoice has been made: no line is added to it."
TAKEN = "This bike stands in the stock book already. Reverse that entry first."
NOT_REVERSED = "This bike was sold: its purchase stays as it was entered."
BACK = "This sale was taken back: all of it is paid back already."
OTHERS = "A price is reduced on a line of its own invoice."
GONE = "The purchase of this bike was reversed: it is not sold."

STANDING_SALE = (
    f"EXISTS (SELECT 1 FROM {SALE} s WHERE s.purchase_id = NEW.purchase_id"  # noqa: S608 - our own names
    f" AND NOT EXISTS (SELECT 1 FROM {CREDIT} c WHERE c.sale_id = s.id))"
)
INVOICED = f"EXISTS (SELECT 1 FROM {PAPER} p WHERE p.sale_id = NEW.sale_id)"  # noqa: S608 - our own names

GUARDS = (
    *(Guard(table, "update", STAYS) for table in (PURCHASE, SALE, LINE, CREDIT, PARTY, PAPER)),
    *(Guard(table, "delete", STAYS) for table in (PURCHASE, SALE, LINE, CREDIT)),
    Guard(PAPER, "delete", STAYS, "OLD.purchase_id IS NULL"),
    Guard(SALE, "insert", SOLD, STANDING_SALE),
    Guard(LINE, "insert", CLOSED, INVOICED),
)

LIVE = f"NOT EXISTS (SELECT 1 FROM {REVERSAL} r WHERE r.purchase_id = p.id)"  # noqa: S608 - our own names
STANDS = (
    f"EXISTS (SELECT 1 FROM {PURCHASE} p WHERE {LIVE} AND (p.check_made_id = NEW.check_made_id"  # noqa: S608 - our own names
    f" OR (p.bike_id = NEW.bike_id AND NOT EXISTS (SELECT 1 FROM {SALE} s"
    f" WHERE s.purchase_id = p.id AND NOT EXISTS (SELECT 1 FROM {CREDIT} c"
    " WHERE c.sale_id = s.id)))))"
)
EVER_SOLD = f"EXISTS (SELECT 1 FROM {SALE} s WHERE s.purchase_id = NEW.purchase_id)"  # noqa: S608 - our own names
REVERSED = f"EXISTS (SELECT 1 FROM {REVERSAL} r WHERE r.purchase_id = NEW.purchase_id)"  # noqa: S608 - our own names

REVERSING = (
    Guard(REVERSAL, "update", STAYS),
    Guard(REVERSAL, "delete", STAYS),
    Guard(REVERSAL, "insert", NOT_REVERSED, EVER_SOLD),
    Guard(PURCHASE, "insert", TAKEN, STANDS),
    Guard(SALE, "insert", GONE, REVERSED, because="reversed"),
)

WAS_TAKEN_BACK = f"EXISTS (SELECT 1 FROM {CREDIT} c WHERE c.sale_id = NEW.sale_id)"  # noqa: S608 - our own names
OF_ANOTHER = (
    f"NOT EXISTS (SELECT 1 FROM {LINE} l WHERE l.id = NEW.line_id AND l.sale_id = NEW.sale_id)"  # noqa: S608 - our own names
)

REDUCING = (
    Guard(REDUCTION, "update", STAYS),
    Guard(REDUCTION, "delete", STAYS),
    Guard(REDUCTION, "insert", BACK, WAS_TAKEN_BACK),
    Guard(REDUCTION, "insert", OTHERS, OF_ANOTHER, because="astray"),
)
