"""Extra work from the bench becomes a new revision: gone ahead with, or asked for."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from inventory.core.money import ZERO, format_money
from quotes.acceptance.models import Acceptance
from quotes.acceptance.selectors import DECIDABLE, answer_to, decisions_of, lines_of
from quotes.acceptance.verbs.record import record_answer
from quotes.core.work import PricingError
from quotes.quoting.models import Quote, Revision, State
from quotes.quoting.verbs.refresh import refresh
from quotes.quoting.verbs.reprice import CannotPriceError
from quotes.quoting.verbs.revise import revise
from quotes.quoting.verbs.send import CannotSendError, send
from quotes.quoting.verbs.start import start_quote
from workshop.jobcards.models import ExtraState, ExtraWork, JobCard
from workshop.people.models import User
from workshop.shop.selectors import current_shop

TO_BE_SENT = "the front desk sends {} to the customer"
NOT_PRICED = "the front desk prices it: {}"


@dataclass(frozen=True, slots=True)
class Weighed:
    """What a draft would add if the customer said yes to extra work beside what they accepted.

    ``gross`` is None where the work has no price yet; ``accepted`` are the lines (pks).
    """

    gross: Decimal | None
    accepted: frozenset[int]


def ask_customer(extra: ExtraWork, by: User) -> None:
    """Make the revision that asks for extra work, or go ahead within what was agreed beforehand.

    A card for the release check alone gets a quote for it. It goes ahead only where its price is
    known, nothing else waits for the customer, and all extras together stay within the limit to
    the last penny.
    """
    quote = _quote_of(extra)
    undisturbed = quote is None or not _is_under_way(quote)
    try:
        with transaction.atomic():
            if quote is None:
                draft = start_quote(extra.finding.check_made.inspection, by)
            else:
                draft = revise(quote, by)
            draft = draft if undisturbed else refresh(draft, by)
    except (CannotPriceError, PricingError) as error:
        _tell(extra, words=NOT_PRICED.format(error))
        return
    weighed = weigh(extra, draft)
    extra.revision_number, extra.extra_gross = draft.number, weighed.gross
    _tell(extra, words=TO_BE_SENT.format(draft))
    if undisturbed and within_limit(extra, weighed.gross):
        _go_ahead(extra, draft, weighed, by)


def _quote_of(extra: ExtraWork) -> Quote | None:
    """Return the quote that the extra work goes into; None where it is to be started.

    A card for the release check alone has none of its own: then it is the inspection's, if any.
    """
    card = extra.card
    if not card.is_check_alone:
        return Quote.objects.get(number=card.quote_number)
    return Quote.objects.filter(inspection=extra.finding.check_made.inspection_id).first()


def _is_under_way(quote: Quote) -> bool:
    """Tell whether a revision is being drawn up or waits for the customer."""
    return quote.revisions.filter(state__in=(State.DRAFT, State.SENT)).exists()


def weigh(extra: ExtraWork, draft: Revision) -> Weighed:
    """Return what a draft adds to what was accepted, if the extra work is done as well."""
    before = _answered(extra.card)
    decided = decisions_of(before) if before else {}
    old = lines_of(before.revision) if before else []
    yes = {line.pk for line in old if line.kind in DECIDABLE and decided.get(line.pk)}
    keys = {line.key for line in old if line.pk in yes}
    new = [line for line in lines_of(draft) if line.kind in DECIDABLE and not line.left_out]
    for_it = {
        line.pk
        for line in new
        if any(row.finding_id == extra.finding_id for row in line.findings.all())
    }
    accepted = for_it | {line.pk for line in new if line.key in keys}
    if not for_it or draft.no_price:
        return Weighed(None, frozenset(accepted))
    after = answer_to(lines_of(draft), accepted).totals.whole.gross
    return Weighed(after - answer_to(old, yes).totals.whole.gross, frozenset(accepted))


def _answered(card: JobCard) -> Acceptance | None:
    """Return the answer that a card stands on; None while it is for the release check alone."""
    if card.is_check_alone:
        return None
    return Acceptance.objects.get(revision=card.revision_key)


def within_limit(extra: ExtraWork, gross: Decimal | None) -> bool:
    """Tell whether extra work may go ahead without asking: all extras together, to the penny."""
    card = extra.card
    limit, used = card.go_ahead_gross, card.gone_ahead_gross
    others = card.extras.filter(state=ExtraState.WAITING).exclude(pk=extra.pk)
    if limit is None or gross is None or others.exists():
        return False
    return bool(used + max(gross, ZERO) <= limit)


def _go_ahead(extra: ExtraWork, draft: Revision, weighed: Weighed, by: User) -> None:
    """Send the draft and record the yes that was given beforehand; where it can't be, it waits."""
    shop, card = current_shop(), extra.card
    limit = format_money(card.go_ahead_gross or ZERO, shop.currency, shop.locale)
    try:
        with transaction.atomic():
            send(draft, by, unfinished_ok=True)
            record_answer(
                draft,
                decided_by=f"{draft.quote.customer.name} (agreed beforehand)"[:120],
                by=by,
                accepted_lines=weighed.accepted,
                note=f"Within the extras agreed beforehand on {card}: up to {limit} in all.",
                must_refused_ok=True,
                agreed_gross=max(weighed.gross or ZERO, ZERO),
            )
    except CannotSendError as error:
        _tell(extra, words=NOT_PRICED.format(error))


def _tell(extra: ExtraWork, *, words: str) -> None:
    """Keep what happens now with extra work."""
    extra.words = words[:240]
    extra.save(update_fields=["words", "revision_number", "extra_gross"])
