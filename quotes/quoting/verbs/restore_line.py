"""Takes back what was changed by hand on a line that was worked out."""

from __future__ import annotations

from django.db import transaction

from quotes.quoting.models import Line, LineChange, Revision
from quotes.quoting.trail import signed
from quotes.quoting.verbs.drafts import locked_draft
from quotes.quoting.verbs.reprice import reprice
from workshop.people.models import User


@transaction.atomic
def restore_line(line: Line, by: User) -> Revision:
    """Give a line back the quantity and price of the catalogue, and price the draft anew.

    A line that nobody has changed is left as it is.

    Raises:
        FrozenError: the revision has been issued.
        CannotPriceError: the catalogue lacks something that the price needs.
    """
    draft = locked_draft(line.revision)
    change = LineChange.objects.filter(revision=draft, key=line.key).first()
    if change is not None:
        change.revision = draft
        signed(change, by).delete()
    return reprice(draft, by=by)
