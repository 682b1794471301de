"""The release sheet is made before anything is held."""

import pytest

from tests.factories import jobcards as made
from tests.factories.paper import watched_press
from tests.factories.people import UserFactory
from workshop.jobcards.models import CardEvent, ReleaseSheet
from workshop.jobcards.verbs.release import release_bike
from workshop.jobcards.verbs.sign import sign


@pytest.mark.django_db(transaction=True)
def test_the_sheet_is_printed_with_nothing_held_and_the_bike_released_once(monkeypatch):
    held, by = watched_press(monkeypatch), UserFactory.create(manager=True)
    item = made.release_item("brakes")
    card = made.a_check()
    sign(card, item, by=by, key="s1")
    released = release_bike(card, by=by, key="z1")
    assert (released.state, held) == ("released", [False])
    assert bytes(ReleaseSheet.objects.get().pdf).startswith(b"%PDF")
    assert CardEvent.objects.filter(key="z1").count() == 1
