"""Says which personal data are due to be deleted, and with ``--apply`` deletes them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone
from django.utils.formats import date_format

from quotes.provenance.retention.plan import Plan, Section, plan_on
from quotes.provenance.verbs.apply_retention import apply_retention


class Command(BaseCommand):
    """``manage.py retention``: says what is due; ``--apply`` does it in one transaction."""

    help = "Say which personal data are due to be deleted; with --apply delete them."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take whether to do it."""
        parser.add_argument("--apply", action="store_true", help="do it; without it, only say so")

    def handle(self, *args: Any, **options: Any) -> None:
        """Say what is due, and do it where asked to."""
        day = timezone.localdate()
        self.stdout.write("\n".join(report(plan_on(day))))
        if not options["apply"]:
            self.stdout.write("Nothing has been changed. To do this: manage.py retention --apply")
            return
        run = apply_retention(day)
        self.stdout.write(
            f"Done: {run.identities_deleted} identities deleted, "
            f"{run.customers_deleted} customers deleted, "
            f"{run.customers_anonymised} customers anonymised, "
            f"{run.names_deleted} names in the stock book deleted, "
            f"{run.history_scrubbed} rows of history scrubbed."
        )


def report(plan: Plan) -> Iterator[str]:
    """Yield what is due, line by line."""
    yield f"Due on {date_format(plan.day, 'j F Y')}:"
    for section in plan.sections:
        yield from section_lines(section)
    if plan.kept:
        yield f"Kept though it is due: {len(plan.kept)}"
        yield from (f"  {each.what}: {each.why}" for each in plan.kept)


def section_lines(section: Section) -> Iterator[str]:
    """Yield what is due of one kind."""
    title = section.kind.label.capitalize()
    if section.rule is None:
        yield f"{title}: no rule says how long, so nothing is done"
        return
    yield f"{title}, after {section.rule.months} months: {len(section.due)}"
    yield from (f"  {each.label}, since {date_format(each.since, 'j F Y')}" for each in section.due)
