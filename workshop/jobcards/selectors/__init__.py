"""Reading job cards: the list, a card with its tasks, what changed since it was looked at."""

from workshop.jobcards.selectors.lists import cards_for_list, open_cards
from workshop.jobcards.selectors.page import CardPage, TaskRow, card_page, card_to_show

__all__ = [
    "CardPage",
    "TaskRow",
    "card_page",
    "card_to_show",
    "cards_for_list",
    "open_cards",
]
