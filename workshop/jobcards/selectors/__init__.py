"""Reading job cards: the list, a card with its tasks, what changed since it was looked at."""

from workshop.jobcards.selectors.lists import cards_for_list, open_cards
from workshop.jobcards.selectors.page import (
    CardPage,
    TaskRow,
    card_page,
    card_to_show,
    findings_for,
)
from workshop.jobcards.selectors.parts import parts_of, row_to_draw

__all__ = [
    "CardPage",
    "TaskRow",
    "card_page",
    "card_to_show",
    "cards_for_list",
    "findings_for",
    "open_cards",
    "parts_of",
    "row_to_draw",
]
