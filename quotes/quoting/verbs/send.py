"""Sends a draft: freezes it, makes its PDF, supersedes the revision sent before."""

from __future__ import annotations

import datetime as dt
import hashlib

from django.db import transaction
from django.utils import timezone

from inventory.paper.ahead import printed_ahead
from quotes.quoting.models import Revision, SentDocument, State
from quotes.quoting.selectors.blocking import reasons_not_to_send
from quotes.quoting.selectors.page import revision_for_page
from quotes.quoting.trail import signed
from quotes.quoting.verbs.drafts import locked_draft
from workshop.bikes.models import Stage
from workshop.bikes.verbs.stages import move_to
from workshop.people.models import User
from workshop.shop.selectors import current_shop

STAYS = {Stage.BOOKED_IN, Stage.INSPECTING, Stage.IN_WORK}
"""A bike that is still being inspected, or already in work, stays there when a quote is sent."""


class CannotSendError(Exception):
    """Raised where a draft may not be sent; ``reasons`` are plain sentences."""

    def __init__(self, reasons: list[str]) -> None:
        self.reasons = reasons
        super().__init__(" ".join(reasons))


@printed_ahead
@transaction.atomic
def send(revision: Revision, by: User, *, unfinished_ok: bool = False) -> SentDocument:
    """Freeze a draft, keep its PDF and return it; all of it or nothing.

    ``unfinished_ok`` says that a person knows the walk is not finished.

    Raises:
        FrozenError: the revision has been issued already.
        CannotSendError: something stands in the way; nothing is changed.
    """
    draft = locked_draft(revision)
    reasons = [reason.text for reason in reasons_not_to_send(draft, current_shop())]
    if draft.quote.inspection.finished_at is None and not unfinished_ok:
        reasons.append("The walk is not finished. Finish it, or say that you send it all the same.")
    if reasons:
        raise CannotSendError(reasons)
    _supersede(draft, by)
    _freeze(draft, by)
    document = _keep_pdf(draft)
    bike = draft.quote.bike
    if bike.stage not in STAYS:
        move_to(bike, Stage.QUOTED)
        move_to(bike, Stage.SENT)
    return document


def _supersede(draft: Revision, by: User) -> None:
    """Supersede the revision of the same quote that was sent and not answered."""
    # locked, for an answer may be recorded at this moment: what is answered stays answered
    sent = Revision.objects.select_for_update().filter(quote=draft.quote_id, state=State.SENT)
    for former in sent:
        former.state = State.SUPERSEDED
        signed(former, by).save(update_fields=["state"])


def _freeze(draft: Revision, by: User) -> None:
    """Make the draft a sent revision."""
    today = timezone.localdate()
    days = dt.timedelta(days=current_shop().quote_valid_days)
    draft.valid_until = draft.valid_until or today + days
    draft.priced_on = today
    draft.state, draft.sent_at, draft.sent_by = State.SENT, timezone.now(), by
    signed(draft, by).save()


def _keep_pdf(sent: Revision) -> SentDocument:
    """Render the PDF of a sent revision and keep its bytes."""
    from quotes.print.pdf import render_revision

    pdf = render_revision(revision_for_page(sent.pk))
    digest = hashlib.sha256(pdf).hexdigest()
    return SentDocument.objects.create(revision=sent, pdf=pdf, sha256=digest)
