"""What the tests of this room share: a manager who is signed in, sending without a PDF."""

import pytest

from tests.factories import quotes as made
from tests.factories.people import UserFactory, sign_in


@pytest.fixture
def manager(db):
    return UserFactory.create(manager=True)


@pytest.fixture
def office(client, db):
    """A browser in which a manager is signed in."""
    made.priced_shop()
    client.person = sign_in(client, manager=True)
    return client


@pytest.fixture
def draft(manager):
    """A draft for a bike with one finding: 3 min to get at it, 15 min of work, a part for 8."""
    return made.draft(by=manager)
