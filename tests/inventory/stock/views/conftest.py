"""Who opens the pages of the stock in tests."""

import pytest

from tests.factories.people import sign_in


@pytest.fixture
def bench(client):
    """A mechanic's browser."""
    sign_in(client)
    return client


@pytest.fixture
def manager(client):
    """A manager's browser."""
    client.person = sign_in(client, manager=True)
    return client
