"""The command that loads the catalogue's files into the shop."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from workshop.catalogue.loading import CatalogueError, load_catalogue


class Command(BaseCommand):
    """Load checkpoints, rules, remedies, operations, parts and rates; may be run again."""

    help = (
        "Load the catalogue: checkpoints, rules, remedies, operations, parts and rates. "
        "Adds what is missing; what the shop changed on screen stays unless --overwrite is given."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the folder and whether the files' values go before the shop's."""
        parser.add_argument("--folder", type=Path, help="default: fixtures/catalogue")
        parser.add_argument(
            "--overwrite", action="store_true", help="take the files' values where they differ"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Load, and say what was done or what is wrong."""
        try:
            report = load_catalogue(options["folder"], overwrite=options["overwrite"])
        except CatalogueError as error:
            raise CommandError(f"The catalogue was not loaded.\n{error}") from error
        if options["verbosity"]:
            self.stdout.write("\n".join(report.lines()))
