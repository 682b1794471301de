"""Gives a new shop its country: ``manage.py set_up_country IE``."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from quotes.pool.verbs.set_up_country import CountryError, ready_made, set_up_country


class Command(BaseCommand):
    """Set currency, number style, VAT rates and the rules of pooled margins of a country."""

    help = "Give a new shop its country: currency, VAT rates, rules of pooled margins."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the country."""
        parser.add_argument("country", help=f"ISO 3166 code; ready made: {', '.join(ready_made())}")

    def handle(self, *args: Any, **options: Any) -> None:
        """Set it up, and say what was loaded."""
        try:
            shop, report = set_up_country(options["country"])
        except CountryError as error:
            raise CommandError(str(error)) from error
        if options["verbosity"]:
            self.stdout.write(f"The shop is in {shop.country}; amounts are in {shop.currency}.")
            self.stdout.write("\n".join(report.lines()))
