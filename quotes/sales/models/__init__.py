"""The stock book: what is bought, sold and taken back, and the names and papers with it."""

from quotes.sales.models.bought import Payment, Purchase, Reversal
from quotes.sales.models.kept import Kept, KeptError
from quotes.sales.models.papers import Paper, Party
from quotes.sales.models.sold import Channel, CreditNote, Line, Reduction, Sale

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
    "Reduction",
    "Reversal",
    "Sale",
]
