"""Loads the demo's comparables through the same import that people use."""

from __future__ import annotations

import csv
import io
from datetime import timedelta

from django.utils import timezone

from inventory.core.sheets import SheetError
from quotes.demo.rows import DemoError, read_csv
from quotes.resale.importing.planning import plan_import
from quotes.resale.verbs.import_file import CannotImportError, import_file
from workshop.people.models import User
from workshop.shop.models import Shop

FILE = "comparables.csv"


def load_comparables(by: User) -> int:
    """Add the comparables of ``fixtures/demo`` as seen so many days ago; return how many.

    The shop must be there.

    Raises:
        DemoError: the file holds a row that the import refuses.
    """
    shop, data = Shop.objects.get(), _dated()
    try:
        expected = len(plan_import(data, shop).new)
        return len(import_file(data, expected=expected, by=by, shop=shop))
    except SheetError as error:
        raise DemoError(f"fixtures/demo/{FILE}: {error}") from error
    except CannotImportError as error:
        first = error.plan.problems[0]
        raise DemoError(
            f"fixtures/demo/{FILE}, row {first.row}, {first.column}: {first.message}"
        ) from error


def _dated() -> bytes:
    """Return the file with days instead of how long ago they were."""
    rows = read_csv(FILE)
    out = io.StringIO()
    names = [name for name in rows[0] if name != "days ago"]
    writer = csv.DictWriter(out, [*names, "seen on"])
    writer.writeheader()
    for row in rows:
        day = timezone.localdate() - timedelta(days=int(row.pop("days ago")))
        writer.writerow({**row, "seen on": day.isoformat()})
    return out.getvalue().encode()
