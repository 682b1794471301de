"""The stock book: purchases, sales, credit notes, and the names and papers that go with them."""

from quotes.sales.models.bought import Payment, Purchase
from quotes.sales.models.kept import Kept, KeptError
from quotes.sales.models.papers import Paper, Party
from quotes.sales.models.sold import Channel, CreditNote, Line, Sale

__all__ = [
    "Channel",
    "CreditNote",
    "Kept",
    "KeptError",
    "Line",
    "Paper",
    "Party",
    "Payment",
    "Purchase",
    "Sale",
]
