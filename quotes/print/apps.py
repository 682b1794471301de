"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class PrintingConfig(AppConfig):
    """Name and label of the room."""

    name = "quotes.print"
    label = "printing"
    verbose_name = "printing"

    def ready(self) -> None:
        """Bring the judgements' shapes to the press."""
        from inventory.paper.pictures import add_pictures
        from quotes.print.shapes import files

        add_pictures(files())
