"""Opens a job card for what was accepted."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.db import transaction

from inventory.numbering.verbs.next_number import next_number
from workshop.bikes.models import Bike, Stage
from workshop.bikes.verbs.stages import move_to
from workshop.core.cardstates import CardState
from workshop.inspections.models import Inspection
from workshop.jobcards.asked import DeclinedAsked, WorkAsked
from workshop.jobcards.errors import JobCardError
from workshop.jobcards.laying import lay_out
from workshop.jobcards.models import Declined, JobCard
from workshop.jobcards.setting_aside import set_aside, set_wanted
from workshop.people.models import User


class CardOpenError(JobCardError):
    """Raised where there is an open card for the bike; ``card`` is that one."""

    def __init__(self, card: JobCard) -> None:
        self.card = card
        super().__init__(f"Job card {card} is open for this bike. Go on with that one.")


class NothingToDoError(JobCardError):
    """Raised where nothing was accepted, so that there is no work."""

    def __init__(self) -> None:
        super().__init__("Nothing was accepted, so there is nothing to do on a job card.")


@transaction.atomic
def open_card(
    bike: Bike,
    inspection: Inspection,
    work: WorkAsked,
    *,
    by: User,
    promised_on: dt.date | None = None,
    go_ahead_gross: Decimal | None = None,
) -> JobCard:
    """Return the new card, with its tasks in order and its parts set aside as far as there are any.

    The bike moves to “in work”. ``go_ahead_gross`` is what extras may cost in all, with VAT,
    without asking; None means that the customer is always asked.

    Raises:
        CardOpenError: there is an open card for the bike.
        NothingToDoError: there are no tasks.
        StageError: the bike stands where no work begins.
        AccessError: the catalogue's access steps do not hang together.
    """
    locked = Bike.objects.select_for_update().get(pk=bike.pk)
    twin = JobCard.objects.filter(bike=locked).exclude(state=CardState.RELEASED.value).first()
    if twin is not None:
        raise CardOpenError(twin)
    if not work.tasks:
        raise NothingToDoError
    card = JobCard.objects.create(
        number=next_number("job card", "J", 4),
        bike=locked,
        inspection=inspection,
        quote_number=work.quote_number,
        revision_number=work.revision_number,
        revision_key=work.revision_key,
        promised_on=promised_on,
        go_ahead_gross=go_ahead_gross,
        opened_by=by,
    )
    lay_out(card, work)
    keep_declined(card, work.declined)
    set_wanted(card, work.parts)
    set_aside(card, by)
    move_to(locked, Stage.IN_WORK)
    return card


def keep_declined(card: JobCard, declined: tuple[DeclinedAsked, ...]) -> None:
    """Keep what was declined in place of what stood there before."""
    card.declined.all().delete()
    for each in declined:
        row = Declined.objects.create(
            card=card,
            title=each.title[:200],
            place=each.place[:200],
            words=each.words[:600],
            importance=each.importance.value,
            judgement=each.judgement.value if each.judgement else "",
        )
        row.findings.set(each.findings)
