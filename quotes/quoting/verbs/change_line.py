"""Changes a line of a draft: quantity, price, or leaves it out, each with a reason."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal

from django.db import transaction

from quotes.quoting.models import Line, LineChange, LineKind, QuotedFinding, Revision
from quotes.quoting.trail import signed
from quotes.quoting.verbs.add_line import LineError, write
from quotes.quoting.verbs.drafts import locked_draft
from quotes.quoting.verbs.reprice import reprice
from workshop.people.models import User


@transaction.atomic
def change_line(
    line: Line,
    *,
    reason: str,
    by: User,
    quantity: Decimal | None = None,
    unit_price_net: Decimal | None = None,
    leave_out: bool = False,
) -> Revision:
    """Change a line that was worked out, and price the draft anew.

    ``quantity`` is in minutes for labour, ``unit_price_net`` then money an hour; None leaves
    what the catalogue says. The change is kept from pricing to pricing.

    Raises:
        FrozenError: the revision has been issued.
        LineError: the reason is missing, an amount is below zero, or the line is by hand.
        CannotPriceError: the catalogue lacks something that the price needs.
    """
    draft = locked_draft(line.revision)
    if line.kind == LineKind.HAND:
        raise LineError("A line by hand is changed as a whole, or removed.")
    if not reason.strip():
        raise LineError("Say why the line is changed.")
    if (quantity or 0) < 0 or (unit_price_net or 0) < 0:
        raise LineError("A quantity or price below zero is for a line by hand: add a discount.")
    change = LineChange.objects.filter(revision=draft, key=line.key).first()
    change = change or LineChange(revision=draft, key=line.key)
    change.revision = draft
    change.quantity, change.unit_price_net = quantity, unit_price_net
    change.leave_out, change.reason, change.by = leave_out, reason, by
    signed(change, by).save()
    return reprice(draft, by=by)


@transaction.atomic
def change_hand_line(
    line: Line,
    *,
    values: Mapping[str, object],
    findings: Iterable[QuotedFinding] = (),
    by: User,
) -> Revision:
    """Change a line by hand as a whole, see ``add_line``, and price the draft anew.

    Raises:
        FrozenError: the revision has been issued.
        LineError: the reason is missing, the line was worked out, or somebody has removed it.
        CannotPriceError: the catalogue lacks something that the price needs.
    """
    draft = locked_draft(line.revision)
    if line.kind != LineKind.HAND:
        raise LineError("This line was worked out: change its quantity or price.")
    if not draft.lines.filter(pk=line.pk).exists():
        raise LineError("Somebody has removed this line meanwhile. Add it anew if it is wanted.")
    line.revision = draft
    write(line, values, findings, by)
    return reprice(draft, by=by)
