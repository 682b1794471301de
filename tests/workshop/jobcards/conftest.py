"""What the tests of this room share: two mechanics and a card."""

import pytest

from tests.factories import jobcards as made
from tests.factories.people import UserFactory


@pytest.fixture
def ada(db):
    return UserFactory.create(first_name="Ada", last_name="Lune")


@pytest.fixture
def ben(db):
    return UserFactory.create(first_name="Ben", last_name="Orr")


@pytest.fixture
def card(db):
    """The hub and the rim, both behind the wheel, and two cones that are there."""
    return made.a_card()


@pytest.fixture
def finish():
    """Tick everything that is left on a card."""
    from workshop.jobcards.models import Task
    from workshop.jobcards.verbs.tick import tick

    def run(card, by):
        for task in Task.objects.filter(card=card, state="to_do").order_by("position"):
            tick(task, by=by, key=made.a_key(), base_version=task.version)
        card.refresh_from_db()

    return run
