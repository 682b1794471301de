"""What the tests of this room share: a sent quote with a must, a should and a could."""

from decimal import Decimal

import pytest

from quotes.quoting.models import Revision
from quotes.quoting.verbs.send import send
from tests.factories import quotes as made
from tests.factories.people import UserFactory, sign_in


@pytest.fixture
def manager(db):
    return UserFactory.create(manager=True)


@pytest.fixture
def office(client, db):
    """A browser in which somebody of the front desk is signed in."""
    client.person = sign_in(client, desk=True)
    return client


@pytest.fixture
def quick_pdf(monkeypatch):
    """Do without the PDF, which is not what these tests are about."""
    monkeypatch.setattr("quotes.print.pdf.render_revision", lambda page: b"%PDF-1.7")


@pytest.fixture
def sent(manager, quick_pdf):
    """Three findings; two of them need the wheel out. With sundries of 10 %."""
    made.priced_shop(sundries_share=Decimal("0.1"), sundries_max_net=Decimal(1000))
    must = made.fault(
        "hub", made.remedy("hub-cure", part="cones", access="wheel-out"), default_judgement="unsafe"
    )
    should = made.fault("rim", made.remedy("rim-cure", minutes="30", access="wheel-out"))
    could = made.fault("bell", made.remedy("bell-cure", part="bell"), default_judgement="watch")
    draft = made.draft(must, should, could, by=manager)
    send(draft, manager)
    return Revision.objects.select_related("quote__bike").get(pk=draft.pk)


@pytest.fixture
def pk(sent):
    """The pk of each line by its key."""
    return dict(sent.lines.values_list("key", "pk"))
