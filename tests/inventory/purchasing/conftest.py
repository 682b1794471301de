"""What the tests of purchasing share: papers printed quickly, who waits for what, who is there."""

import pytest
from django.core.management import call_command

from inventory.stock import wants
from tests.factories.people import UserFactory, sign_in
from tests.factories.shop import ShopFactory, vat_rates


@pytest.fixture
def printed_quickly(monkeypatch):
    """Orders print quickly: what a PDF looks like is tested with the paper."""
    monkeypatch.setattr("inventory.paper.press.pdf_of", lambda html: b"%PDF " + html.encode()[:9])


@pytest.fixture
def proven_ledger(db):
    """Whatever a test does, the check finds nothing wrong afterwards."""
    yield
    call_command("check_stock", verbosity=0)


@pytest.fixture
def waited_for(monkeypatch):
    """What is waited for, filled by the test; nothing at first."""
    waiting = []
    monkeypatch.setattr(wants, "_sources", [lambda parts: list(waiting)])
    return waiting


@pytest.fixture
def by(db):
    """Somebody who does things."""
    return UserFactory.create()


@pytest.fixture
def shop(db):
    """The shop, with its VAT rates."""
    vat_rates()
    return ShopFactory.create()


@pytest.fixture
def manager(client):
    """A manager's browser."""
    client.person = sign_in(client, manager=True)
    return client


@pytest.fixture
def desk(client):
    """The front desk's browser."""
    sign_in(client, desk=True)
    return client


@pytest.fixture
def bench(client):
    """A mechanic's browser."""
    sign_in(client)
    return client
