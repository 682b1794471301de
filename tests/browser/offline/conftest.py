"""Two mechanics, a card, and a phone that has kept it."""

import pytest

from tests.browser.offline.spot import CODES, open_card, wait_until_kept
from tests.browser.pages import sign_in
from tests.factories import jobcards as made
from tests.factories.people import UserFactory
from tests.factories.shop import ShopFactory


@pytest.fixture
def tom(transactional_db):
    """The mechanic whose phone it is."""
    ShopFactory.create()
    return UserFactory.create(first_name="Tom", last_name="Wray")


@pytest.fixture
def bea(transactional_db):
    """Another mechanic."""
    return UserFactory.create(first_name="Bea", last_name="Lune")


@pytest.fixture
def card(tom):
    """A card with four tasks that need nothing opened."""
    for code in CODES:
        made.operation(code)
    return made.a_card(made.asked(*CODES))


@pytest.fixture
def phone(phone_page, tom, card):
    """Tom's phone with the card on it, kept for the dead spot."""
    sign_in(phone_page, tom)
    open_card(phone_page, card)
    wait_until_kept(phone_page, card)
    return phone_page
