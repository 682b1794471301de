"""Records a customer's answer to the sent revision of a quote, line by line."""

from __future__ import annotations

from collections.abc import Collection
from decimal import Decimal

from django.db import transaction

from inventory.core.money import ZERO
from quotes.acceptance.models import Acceptance, LineDecision
from quotes.acceptance.selectors import DECIDABLE, Answer, answer_to, is_expired, lines_of
from quotes.acceptance.verbs.open_card import carry_over
from quotes.quoting.models import Line, Revision, State
from quotes.quoting.trail import signed
from quotes.quoting.verbs.drafts import locked
from quotes.sales.selectors.standing import is_ours
from workshop.bikes.models import Stage
from workshop.bikes.verbs.stages import move_to
from workshop.people.models import User

ANSWERED = (State.ACCEPTED, State.PART_ACCEPTED, State.REFUSED)
WHY_NOT = {
    State.DRAFT: "It has not been sent yet. Send it first.",
    State.SUPERSEDED: "A newer revision stands in its place. Ask about that one.",
}


class CannotAnswerError(Exception):
    """Raised where an answer can't be recorded; ``reasons`` are plain sentences."""

    def __init__(self, *reasons: str) -> None:
        self.reasons = reasons
        super().__init__(" ".join(reasons))


class AlreadyAnsweredError(CannotAnswerError):
    """Raised where the answer to this revision has been recorded before."""


class NotConfirmedError(CannotAnswerError):
    """Raised where a person must first say that they know; ``what`` is expired or must."""

    def __init__(self, what: str, reason: str) -> None:
        self.what = what
        super().__init__(reason)


@transaction.atomic
def record_answer(
    revision: Revision,
    *,
    decided_by: str,
    by: User,
    accepted_lines: Collection[int],
    note: str = "",
    expired_ok: bool = False,
    must_refused_ok: bool = False,
    agreed_gross: Decimal | None = None,
) -> Acceptance:
    """Record yes to the accepted lines (pks) and no to all others, and return the record.

    Access steps and sundries follow the labour. ``expired_ok`` and ``must_refused_ok`` say that
    a person knows that the date has passed, or that something that must be done is refused. The
    revision becomes accepted, accepted in part or refused, and the bike moves on; where it is in
    work already the answer goes to its job card. ``agreed_gross`` says that nobody was asked,
    since the extra work lies within what was agreed beforehand, and what it adds.

    Raises:
        AlreadyAnsweredError: somebody has recorded the answer.
        NotConfirmedError: the date has passed, or a must-do is refused, and nobody confirmed it.
        CannotAnswerError: the revision is not one to be answered, or the answer is not whole.
    """
    sent = locked(revision)
    _refuse_state(sent)
    lines = lines_of(sent)
    answer = answer_to(lines, accepted_lines)
    _refuse_answer(lines, answer, accepted_lines, decided_by)
    _ask(sent, answer, expired_ok=expired_ok, must_refused_ok=must_refused_ok)
    acceptance = Acceptance(revision=sent, decided_by=decided_by.strip(), recorded_by=by, note=note)
    signed(acceptance, by).save()
    LineDecision.objects.bulk_create(
        LineDecision(acceptance=acceptance, line_id=pk, accepted=yes)
        for pk, yes in answer.decisions.items()
    )
    sent.state = outcome(answer)
    signed(sent, by).save(update_fields=["state"])
    _move(sent)
    carry_over(acceptance, by, agreed_gross)
    return acceptance


def outcome(answer: Answer) -> State:
    """Return the state that an answer leads to."""
    if not answer.chosen:
        return State.REFUSED
    return State.ACCEPTED if answer.chosen == answer.offered else State.PART_ACCEPTED


def _refuse_state(sent: Revision) -> None:
    """Raise unless the revision waits for an answer."""
    if sent.state in ANSWERED:
        raise AlreadyAnsweredError(f"The answer to {sent} has been recorded already.")
    if sent.state in WHY_NOT:
        raise CannotAnswerError(f"{sent} can't be answered. {WHY_NOT[State(sent.state)]}")
    if sent.no_price:
        raise CannotAnswerError(f"{sent} offers no price, so there is nothing to answer.")


def _refuse_answer(
    lines: list[Line], answer: Answer, accepted: Collection[int], decided_by: str
) -> None:
    """Raise where the answer lacks its name, names strange lines, or makes no sense."""
    if not decided_by.strip():
        raise CannotAnswerError("Enter the name of who decides.")
    offered = {line.pk for line in lines if line.kind in DECIDABLE and not line.left_out}
    if set(accepted) - offered:
        raise CannotAnswerError("A line that was ticked is not offered. Load the page anew.")
    if answer.totals.whole.gross < ZERO:
        raise CannotAnswerError("What is accepted comes to less than nothing: a discount alone.")


def _ask(sent: Revision, answer: Answer, *, expired_ok: bool, must_refused_ok: bool) -> None:
    """Raise where somebody must first say that they know."""
    if is_expired(sent) and not expired_ok:
        raise NotConfirmedError("expired", f"It stood until {sent.valid_until:%-d %B %Y}.")
    if answer.refused_must and not must_refused_ok:
        names = "; ".join(line.description for line in answer.refused_must)
        raise NotConfirmedError("must", f"This must be done, and is refused: {names}.")


def _move(sent: Revision) -> None:
    """Move the bike on, where it waits for this answer.

    One that the shop owns stays bought: it is looked over and sold without that work, or quoted
    anew.
    """
    bike = sent.quote.bike
    if bike.stage != Stage.SENT:
        return
    refused = Stage.BOUGHT if is_ours(bike) else Stage.REFUSED
    move_to(bike, refused if sent.state == State.REFUSED else Stage.ACCEPTED)
