"""A finding's name says its place once."""

import pytest

from workshop.core.naming import place_and_fault


@pytest.mark.parametrize(
    ("place", "fault", "name"),
    [
        ("Front hub", "Hub has play", "Front hub: Hub has play"),
        ("Headset", "Headset has play", "Headset has play"),
        ("Grips", "grips worn", "grips worn"),
        ("Chain", "Chainring bent", "Chain: Chainring bent"),
        ("Bell", "Bell", "Bell"),
        ("Rear rim brake", "Brake", "Rear rim brake: Brake"),
    ],
)
def test_the_place_is_said_once(place, fault, name):
    assert place_and_fault(place, fault) == name
