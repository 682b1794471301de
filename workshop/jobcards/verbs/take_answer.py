"""Takes a customer's answer to a later revision over into the job card that is open."""

from __future__ import annotations

from decimal import Decimal

from django.db import transaction

from workshop.core.cardstates import Action
from workshop.jobcards.asked import WorkAsked
from workshop.jobcards.holding import done, held, permit, seen_before
from workshop.jobcards.laying import lay_out
from workshop.jobcards.models import ExtraState, JobCard, Task, TaskState
from workshop.jobcards.setting_aside import set_aside, set_wanted
from workshop.jobcards.verbs.open_card import keep_declined
from workshop.jobcards.verbs.tick import void_signatures
from workshop.people.models import User


@transaction.atomic
def take_answer(
    card: JobCard, work: WorkAsked, *, by: User, agreed_gross: Decimal | None = None
) -> JobCard:
    """Return the card with the work of the newer revision; what is done stays done.

    A card for the release check alone gets its quote by it.

    Extra work that the revision speaks of is settled: its tasks go on where they are still
    wanted. ``agreed_gross`` says that nobody was asked, since it lies within what was agreed
    beforehand, and how much of that it uses.

    Raises:
        CardStateError: the bike has been released.
        AccessError: the catalogue's access steps do not hang together.
    """
    locked = held(card.pk)
    key = f"answer:{work.revision_key}"
    if seen_before(locked, key, Action.TAKE_ANSWER, work.revision_key):
        return locked
    permit(locked, Action.TAKE_ANSWER)
    locked.quote_number = work.quote_number
    locked.revision_number, locked.revision_key = work.revision_number, work.revision_key
    if agreed_gross is not None:
        locked.gone_ahead_gross += agreed_gross
    locked.save()
    _settle_extras(locked, work, agreed=agreed_gross is not None)
    lay_out(locked, work)
    keep_declined(locked, work.declined)
    set_wanted(locked, work.parts)
    set_aside(locked, by)
    void_signatures(locked)
    words = f"answer to {work.quote_number} revision {work.revision_number}"
    done(locked, Action.TAKE_ANSWER, key=key, by=by, words=words, subject=work.revision_key)
    return locked


def _settle_extras(card: JobCard, work: WorkAsked, *, agreed: bool) -> None:
    """Settle the extra work that the revision speaks of, and let its tasks go on."""
    wanted = {finding for task in work.tasks for finding in task.findings}
    for extra in card.extras.filter(state=ExtraState.WAITING):
        if extra.finding_id not in work.findings:
            continue
        yes = ExtraState.AGREED if agreed else ExtraState.ACCEPTED
        extra.state = yes if extra.finding_id in wanted else ExtraState.REFUSED
        extra.words = ""
        extra.save(update_fields=["state", "words"])
        for task in Task.objects.filter(extra=extra):
            task.state, task.extra, task.version = TaskState.TO_DO, None, task.version + 1
            task.save(update_fields=["state", "extra", "version"])
