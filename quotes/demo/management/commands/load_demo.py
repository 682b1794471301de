"""Loads the demo shop into an empty database."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from quotes.demo.loading import load_demo
from quotes.demo.rows import DemoError


class Command(BaseCommand):
    """``manage.py load_demo``: people, shop, customers and bikes of ``fixtures/demo``."""

    help = "Loads the invented demo shop. The catalogue must be loaded first."

    def handle(self, *args: Any, **options: Any) -> None:
        """Load, telling how far it has come."""
        say = self.stderr.write if options["verbosity"] else None
        try:
            count = load_demo(say)
        except DemoError as error:
            raise CommandError(str(error)) from error
        if options["verbosity"]:
            self.stdout.write(f"{count} bikes loaded.")
