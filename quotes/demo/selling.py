"""Takes an inspected demo bike on: quote, answer, margin check."""

from __future__ import annotations

from decimal import Decimal

from quotes.acceptance.selectors import DECIDABLE
from quotes.acceptance.verbs.record import record_answer
from quotes.buyin.basis import basis_of
from quotes.buyin.forms import first_figures
from quotes.buyin.models import Decision, MarginCheck
from quotes.buyin.verbs.decide import decide
from quotes.buyin.verbs.save import save_check
from quotes.core.margin import MarginInput, Scheme
from quotes.demo.buying import buy_in
from quotes.demo.rows import BikeRow
from quotes.quoting.models import Revision
from quotes.quoting.verbs.send import send
from quotes.quoting.verbs.start import start_quote
from workshop.bikes.models import Stage
from workshop.core.judgement import Importance
from workshop.inspections.models import Inspection
from workshop.people.models import User
from workshop.shop.selectors import current_shop

YES_TO = {
    "all": frozenset(Importance),
    "must_should": frozenset({Importance.MUST, Importance.SHOULD}),
    "must": frozenset({Importance.MUST}),
    "should": frozenset({Importance.SHOULD}),
    "none": frozenset[Importance](),
}


def carry_on(
    row: BikeRow, inspection: Inspection, desk: User, manager: User, paid: Decimal | None = None
) -> None:
    """Draw up the quote and go on from there as far as the row says.

    ``paid`` is what was paid for a bike that goes into the stock book.
    """
    revision = start_quote(inspection, desk)
    if row.stage == Stage.QUOTED:
        return
    if row.check_alone or row.stage in {Stage.BOUGHT, Stage.LEFT, Stage.SOLD}:
        check = _decide(row, inspection, manager)
        if paid is not None:
            buy_in(check, paid, manager)
        if row.stage in {Stage.BOUGHT, Stage.LEFT}:
            return
    send(revision, desk)
    if row.answer:
        _answer(revision, row, desk)


def _answer(revision: Revision, row: BikeRow, desk: User) -> None:
    """Record what the customer says yes to: all of it where there is nothing so pressing."""
    lines = [line for line in revision.lines.all() if line.kind in DECIDABLE and not line.left_out]
    accepted = {line.pk for line in lines if line.importance in YES_TO[row.answer]}
    on = {Stage.ACCEPTED, Stage.IN_WORK, Stage.RELEASED, Stage.SOLD}
    if not accepted and row.stage in on and not row.check_alone:
        accepted = {line.pk for line in lines}
    record_answer(
        revision,
        decided_by=row.customer,
        by=desk,
        accepted_lines=accepted,
        must_refused_ok=True,
    )


def _decide(row: BikeRow, inspection: Inspection, manager: User) -> MarginCheck:
    """Check the margin at the price asked, and buy or leave the bike."""
    basis = basis_of(inspection.bike, current_shop())
    figures = first_figures(basis) | {"resale_price": row.resale_price}
    figures["scheme"] = Scheme(figures["scheme"])
    check = save_check(MarginInput(**figures, currency=basis.shop.currency), basis, manager)
    decision = Decision.LEAVE if row.stage == Stage.LEFT else Decision.BUY
    return decide(check, decision, note=row.decision_note, by=manager)
