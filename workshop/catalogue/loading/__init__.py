"""Loading the catalogue's files into the shop: all of it or nothing, again without doubling."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.db import transaction

from workshop.catalogue.loading.checking import problems_across
from workshop.catalogue.loading.entries import read_folder
from workshop.catalogue.loading.kinds import KINDS
from workshop.catalogue.loading.problems import CatalogueError, Place, Problem
from workshop.catalogue.loading.report import Difference, Report
from workshop.catalogue.loading.rows import rows_of
from workshop.catalogue.loading.shelf import Shelf
from workshop.catalogue.loading.storing import store
from workshop.shop.selectors import current_shop

__all__ = [
    "CatalogueError",
    "Difference",
    "Place",
    "Problem",
    "Report",
    "default_folder",
    "load_catalogue",
]


def default_folder() -> Path:
    """Return the folder of the catalogue that comes with the product."""
    return Path(settings.BASE_DIR) / "fixtures" / "catalogue"


@transaction.atomic
def load_catalogue(folder: Path | None = None, *, overwrite: bool = False) -> Report:
    """Load every file below the folder, in one transaction, and return what was done.

    Of the folder ``countries`` only the file of the shop's own is read.
    Rows that the shop lacks are added. Rows that it holds otherwise stay as the shop has them
    and are named in the report; with ``overwrite`` the files' values are taken, a judgement rule
    as a new version. Rows that no file names are left alone.

    Raises ``CatalogueError``, naming file, entry and field, where anything is wrong; nothing has
    been saved then.
    """
    problems: list[Problem] = []
    country = current_shop().country
    entries = read_folder(folder or default_folder(), problems, country=country)
    rows = rows_of(entries, problems)
    shelf = Shelf()
    problems = problems or list(problems_across(rows, shelf))
    if problems:
        raise CatalogueError(problems)
    report = Report()
    for kind in KINDS:
        of_kind = [row for row in rows if row.kind == kind]
        store(kind, of_kind, shelf, report, overwrite=overwrite)
    return report
