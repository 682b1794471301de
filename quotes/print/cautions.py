"""What the customer is to mind, as a quote says it."""

from __future__ import annotations

from collections.abc import Iterable

from quotes.quoting.models import QuotedFinding
from workshop.core.cautions import DO_NOT_RIDE, MAKER_FIRST, riders_cautions
from workshop.core.judgement import Judgement


def cautions_for(rows: Iterable[QuotedFinding], *, offers: bool) -> tuple[str, ...]:
    """Return what to mind: what is unsafe first, then what the work offered asks for.

    Where no price is offered (``offers`` is False) only the first is said.
    """
    rows = list(rows)
    unsafe = [row.checkpoint_name for row in rows if row.judgement == Judgement.UNSAFE]
    first = [DO_NOT_RIDE.format(places=", ".join(dict.fromkeys(unsafe)))] if unsafe else []
    if not offers:
        return tuple(first)
    worked_on = {row.checkpoint_code for row in rows if not row.no_work_reason}
    return (*first, *riders_cautions(worked_on), MAKER_FIRST)
