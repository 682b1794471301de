"""Opens the job card of an accepted revision, and takes later answers over into it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.db import transaction

from quotes.acceptance.models import Acceptance
from quotes.acceptance.work import work_of
from quotes.quoting.models import Quote, Revision, State
from quotes.quoting.verbs.drafts import locked
from workshop.bench.verbs.give_promise import give_promise
from workshop.core.cardstates import CardState
from workshop.core.promise import Promise
from workshop.jobcards.errors import JobCardError
from workshop.jobcards.models import JobCard
from workshop.jobcards.verbs.open_card import open_card
from workshop.jobcards.verbs.take_answer import take_answer
from workshop.people.models import User

YES = (State.ACCEPTED, State.PART_ACCEPTED)


class NotAcceptedError(JobCardError):
    """Raised where nothing of the revision was accepted, or a newer answer stands."""


class OpenedBeforeError(JobCardError):
    """Raised where the revision's work has had its job card; ``card`` is that one."""

    def __init__(self, card: JobCard) -> None:
        self.card = card
        super().__init__(f"The work of {card.reference} has its job card: {card}.")


@transaction.atomic
def open_card_for(
    revision: Revision,
    *,
    by: User,
    promised_on: dt.date | None = None,
    go_ahead_gross: Decimal | None = None,
    reckoned: Promise | None = None,
    why: str = "",
) -> JobCard:
    """Return the job card opened for what was accepted of a revision.

    Where the bike has an open card for the release check alone the work goes into that one. A
    day that is promised beside what was ``reckoned`` for the work is given as any other promise,
    with ``why`` where it is an earlier one; without a reckoning it is only noted on the card.

    Raises:
        NotAcceptedError: nothing was accepted, or a newer revision was answered since.
        OpenedBeforeError: there was a card for it.
        CardOpenError, NothingToDoError, StageError: as opening a card does.
        BenchError: as giving a promise does.
    """
    answered = locked(revision)
    if answered.state not in YES:
        raise NotAcceptedError(f"{answered} is not accepted, so there is no work to begin.")
    newer = Revision.objects.filter(quote=answered.quote_id, number__gt=answered.number)
    if newer.filter(state__in=(*YES, State.REFUSED)).exists():
        raise NotAcceptedError(f"A newer revision than {answered} was answered. Open that one.")
    before = JobCard.objects.filter(revision_key=answered.pk).first()
    if before is not None:
        raise OpenedBeforeError(before)
    card = _opened(answered, by, promised_on, go_ahead_gross)
    if promised_on is not None and reckoned is not None:
        give_promise(card, promised_on, reckoned=reckoned, by=by, why=why)
        card.refresh_from_db(fields=["promised_on", "version"])
    return card


def _opened(
    answered: Revision, by: User, promised_on: dt.date | None, go_ahead_gross: Decimal | None
) -> JobCard:
    """Return the card with the work: the bike's for the release check alone, else a new one."""
    acceptance = Acceptance.objects.select_related("revision__quote").get(revision=answered)
    check = check_alone(answered.quote.bike_id)
    if check is not None:
        check.promised_on, check.go_ahead_gross = promised_on, go_ahead_gross
        check.save(update_fields=["promised_on", "go_ahead_gross"])
        return take_answer(check, work_of(acceptance), by=by)
    return open_card(
        answered.quote.bike,
        answered.quote.inspection,
        work_of(acceptance),
        by=by,
        promised_on=promised_on,
        go_ahead_gross=go_ahead_gross,
    )


def card_of(quote: Quote) -> JobCard | None:
    """Return the open job card that a quote's answer goes into, if there is one.

    It is the quote's own, or the bike's for the release check alone, which has no quote yet.
    """
    rows = JobCard.objects.filter(quote_number=quote.number)
    own = rows.exclude(state=CardState.RELEASED.value).first()
    return own or check_alone(quote.bike_id)


def check_alone(bike_id: int) -> JobCard | None:
    """Return a bike's open card for the release check alone, if there is one."""
    rows = JobCard.objects.filter(bike=bike_id, quote_number="")
    return rows.exclude(state=CardState.RELEASED.value).first()


def carry_over(
    acceptance: Acceptance, by: User, agreed_gross: Decimal | None = None
) -> JobCard | None:
    """Take an answer over into the quote's open job card, inside the caller's transaction.

    ``agreed_gross`` is what it uses of the extras agreed beforehand, where nobody was asked.
    Returns None where no card is open.
    """
    card = card_of(acceptance.revision.quote)
    if card is None:
        return None
    return take_answer(card, work_of(acceptance), by=by, agreed_gross=agreed_gross)
