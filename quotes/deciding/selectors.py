"""Reading decision sheets that were saved."""

from __future__ import annotations

from dataclasses import dataclass

from django.shortcuts import get_object_or_404

from quotes.deciding.figures import Figures
from quotes.deciding.keeping import read_back
from quotes.deciding.models import DecisionSheet


@dataclass(frozen=True, slots=True)
class KeptSheet:
    """A decision sheet with its figures, read back as they were."""

    row: DecisionSheet
    figures: Figures


def sheet_for_page(pk: int) -> KeptSheet:
    """Return the sheet of a margin check (by its pk), or raise 404; one query."""
    rows = DecisionSheet.objects.select_related(
        "check_made__bike__customer", "check_made__by", "check_made__revision__quote"
    )
    row = get_object_or_404(rows, check_made=pk)
    return KeptSheet(row, read_back(Figures, row.figures))
