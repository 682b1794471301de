"""Removes a line by hand from a draft; its history stays."""

from __future__ import annotations

from django.db import transaction

from quotes.quoting.models import Line, LineKind, Revision
from quotes.quoting.trail import signed
from quotes.quoting.verbs.add_line import LineError
from quotes.quoting.verbs.drafts import locked_draft
from quotes.quoting.verbs.reprice import reprice
from workshop.people.models import User


@transaction.atomic
def remove_line(line: Line, by: User) -> Revision:
    """Remove a line by hand, and price the draft anew.

    Raises:
        FrozenError: the revision has been issued.
        LineError: the line was worked out; such a line is left out instead.
        CannotPriceError: the catalogue lacks something that the price needs.
    """
    draft = locked_draft(line.revision)
    if line.kind != LineKind.HAND:
        raise LineError("This line was worked out: leave it out instead, with a reason.")
    line.revision = draft
    signed(line, by).delete()
    return reprice(draft, by=by)
