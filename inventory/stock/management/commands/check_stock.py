"""Proves that every stock level is the sum of its movements; fit to be run each night."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inventory.stock.checking import problems
from inventory.stock.models import StockLevel, StockMovement


class Command(BaseCommand):
    """Prints what is wrong and fails, or says what was proved."""

    help = "Proves that every stock level and value is the sum of its movements."

    def handle(self, *args: Any, **options: Any) -> None:
        """Check all parts.

        Raises:
            CommandError: something is wrong; each thing is printed before.
        """
        found = 0
        for problem in problems():
            found += 1
            self.stderr.write(problem)
        if found:
            raise CommandError(f"The ledger does not prove the levels: {found} found wrong.")
        movements, levels = StockMovement.objects.count(), StockLevel.objects.count()
        self.stdout.write(f"{movements} movements prove {levels} levels and their value.")
