"""What the database itself refuses of the stock book: see ``inventory.triggers``.

Rows are written once. A seller's name and the receipt with it may be deleted, as retention asks;
invoices and credit notes are the shop's books and stay. A migration that alters one of these
tables starts with ``RunPython(remove(*GUARDS), install(*GUARDS))`` and ends with the reverse.
"""

from __future__ import annotations

from inventory.triggers import Guard

PURCHASE, SALE, LINE = "sales_purchase", "sales_sale", "sales_line"
CREDIT, PARTY, PAPER = "sales_creditnote", "sales_party", "sales_paper"

STAYS = "What stands in the stock book stays as it is; a sale is taken back with a credit note."
SOLD = "This bike is sold. It can be sold again once it has been taken back."
CLOSED = "The invoice has been made: no line is added to it."

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
