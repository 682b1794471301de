"""Keeps a margin check as it was worked out."""

from __future__ import annotations

from django.db import transaction

from quotes.buyin.basis import Basis
from quotes.buyin.models import MarginCheck
from quotes.buyin.outcome import outcome_of
from quotes.core.margin import MarginInput, Verdict
from quotes.quoting.trail import signed
from workshop.people.models import User


@transaction.atomic
def save_check(
    given: MarginInput, basis: Basis, by: User, *, verdict: Verdict | None = None
) -> MarginCheck:
    """Keep the figures, what they come to and the verdict; nothing of it changes later.

    ``verdict`` is one that weighs more than the likely case; without it that one counts.
    Raises ``ValueError`` for an amount or share below zero.
    """
    outcome = outcome_of(given, basis)
    verdict = verdict or outcome.verdict
    row = MarginCheck(
        bike=basis.bike,
        revision=basis.revision,
        resale_price=given.resale_price,
        purchase_price=given.purchase_price,
        refurbishment_cost=given.refurbishment_cost,
        selling_fee_share=given.selling_fee_share,
        selling_fee_net=given.selling_fee_net,
        warranty_share=given.warranty_share,
        scheme=given.scheme.value,
        vat_rate=given.vat_rate,
        target_profit=given.target_profit,
        vat=outcome.result.vat,
        profit=outcome.result.profit,
        ceiling_price=outcome.result.ceiling_price,
        verdict=verdict.word,
        reasons=list(verdict.reasons),
        by=by,
    )
    signed(row, by).save()
    return row
