"""Reading job cards: the list, a card with its tasks, what changed since it was looked at."""

from workshop.jobcards.selectors.lists import cards_for_list, open_cards
from workshop.jobcards.selectors.page import CardPage, TaskRow, card_to_show, card_page

__all__ = [
    "CardPage",
    "TaskRow",
    "card_to_show",
    "card_page",
    "cards_for_list",
    "open_cards",
]
