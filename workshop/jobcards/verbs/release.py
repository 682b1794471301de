"""Releases a bike: all tasks done, all of the check signed, nothing unsafe left unsaid."""

from __future__ import annotations

import datetime as dt
import hashlib

from django.db import transaction
from django.utils import timezone

from inventory.paper.ahead import printed_ahead
from workshop.bikes.models import Stage
from workshop.bikes.verbs.stages import move_to
from workshop.core.cardstates import Action
from workshop.jobcards.errors import JobCardError
from workshop.jobcards.holding import done, held, permit, seen_before
from workshop.jobcards.models import JobCard, ReleaseSheet, TimeSpan
from workshop.jobcards.setting_aside import free_all
from workshop.jobcards.sheets.gathering import sheet_paper
from workshop.jobcards.sheets.pdf import sheet_pdf
from workshop.jobcards.signing import refusal_to_sign, standing_of
from workshop.jobcards.verbs.times import stop_spans
from workshop.people.models import User
from workshop.shop.selectors import current_shop


class CannotReleaseError(JobCardError):
    """Raised where the bike may not go; ``reasons`` are plain sentences."""

    def __init__(self, *reasons: str) -> None:
        self.reasons = reasons
        super().__init__(" ".join(reasons))


class NotToldError(CannotReleaseError):
    """Raised where a person must first say that the customer was told of what was declined."""


@printed_ahead
@transaction.atomic
def release_bike(
    card: JobCard,
    *,
    by: User,
    key: str,
    next_check_on: dt.date | None = None,
    told_declined: bool = False,
) -> JobCard:
    """Return the card, released: times stopped, what is still set aside freed, the bike moved on.

    Where something unsafe, or something that must be done, was declined by the customer, the bike
    goes out only where ``told_declined`` says that they were told; the release sheet, which is
    made and kept here, says so as well.

    Raises:
        CannotReleaseError: tasks, answers, signatures or safety stand in the way.
        NotToldError: it was declined and nobody says that the customer was told.
        CardStateError: the card is not to be checked.
        StageError: the bike is not in work.
        KeyClashError: the key was used for something else.
    """
    locked = held(card.pk)
    if seen_before(locked, key, Action.RELEASE):
        return locked
    permit(locked, Action.RELEASE)
    standing = standing_of(locked)
    if standing.blocks:
        raise CannotReleaseError(*standing.blocks)
    if why := refusal_to_sign(locked, by):
        raise CannotReleaseError(why)
    if standing.to_be_told and not told_declined:
        raise NotToldError(*standing.to_be_told)
    stop_spans(TimeSpan.objects.filter(task__card=locked))
    free_all(locked)
    locked.released_by, locked.released_at = by, timezone.now()
    locked.next_check_on = next_check_on
    done(locked, Action.RELEASE, key=key, by=by, words="released")
    move_to(locked.bike, Stage.RELEASED)
    _keep_sheet(locked)
    return locked


def _keep_sheet(card: JobCard) -> None:
    """Print the release sheet as things stand now and keep it for good."""
    pdf = sheet_pdf(sheet_paper(card, current_shop()))
    ReleaseSheet.objects.create(card=card, pdf=pdf, sha256=hashlib.sha256(pdf).hexdigest())
