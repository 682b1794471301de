"""Adds a line by hand to a draft."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from uuid import uuid4

from django.db import transaction
from django.db.models import Max

from inventory.core.money import ZERO
from quotes.quoting.models import Line, LineKind, QuotedFinding, Revision
from quotes.quoting.trail import signed
from quotes.quoting.verbs.drafts import locked_draft
from quotes.quoting.verbs.reprice import reprice
from workshop.people.models import User


class LineError(Exception):
    """Raised where a line is not as a line must be; says what to put right."""


@transaction.atomic
def add_line(
    revision: Revision,
    *,
    values: Mapping[str, object],
    findings: Iterable[QuotedFinding] = (),
    by: User,
) -> Revision:
    """Add a line by hand, for some findings or for the whole bike, and price the draft anew.

    ``values`` are fields of ``Line``: description, quantity, unit, unit_price_net (below zero is
    a discount), vat_code, importance, cost_net (of the whole line), reason.

    Raises:
        FrozenError: the revision has been issued.
        LineError: the reason is missing, or a finding belongs to another revision.
        CannotPriceError: the catalogue lacks something that the price needs.
    """
    draft = locked_draft(revision)
    last = Line.objects.filter(revision=draft).aggregate(last=Max("position"))["last"] or 0
    line = Line(
        revision=draft,
        key=f"hand:{uuid4().hex[:12]}",
        kind=LineKind.HAND,
        position=last + 1,
        **dict.fromkeys(("net", "vat", "gross", "vat_rate"), ZERO),
    )
    write(line, values, findings, by)
    return reprice(draft, by=by)


def write(
    line: Line, values: Mapping[str, object], findings: Iterable[QuotedFinding], by: User
) -> None:
    """Save the values of a line by hand and the findings it is for."""
    chosen = list(findings)
    for name, value in values.items():
        setattr(line, name, value)
    if not line.reason.strip():
        raise LineError("A line by hand needs a reason: say why it is there.")
    if Decimal(line.quantity) <= 0:
        raise LineError("The quantity must be more than nothing.")
    if any(row.revision_id != line.revision_id for row in chosen):
        raise LineError("That finding belongs to another quote.")
    signed(line, by).save()
    line.findings.set(chosen)
