"""What the tests of the pages share: the shop, and a mechanic's browser."""

import pytest

from tests.factories.people import sign_in
from tests.factories.shop import ShopFactory


@pytest.fixture(autouse=True)
def _shop(db):
    ShopFactory.create()


@pytest.fixture
def bench(client):
    """A mechanic's browser."""
    return sign_in(client, first_name="Tess", last_name="Wray")
