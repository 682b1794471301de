"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class PeopleConfig(AppConfig):
    """Name and label of the room."""

    name = "workshop.people"
    label = "people"
    verbose_name = "people"
