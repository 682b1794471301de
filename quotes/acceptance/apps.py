"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class AcceptanceConfig(AppConfig):
    """Name and label of the room."""

    name = "quotes.acceptance"
    label = "acceptance"
    verbose_name = "acceptance"

    def ready(self) -> None:
        """Ask the customer about extra work that the bench reports."""
        from quotes.acceptance.extra import ask_customer
        from workshop.jobcards.hooks import on_extra_work

        on_extra_work(ask_customer)
