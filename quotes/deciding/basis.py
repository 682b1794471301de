"""What a decision starts from: the work, what may hide, the resale price, what speaks against."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from quotes.buyin.basis import Basis, basis_of
from quotes.core.pricing import PricingError
from quotes.core.risk import Hidden
from quotes.deciding.risks import hidden_in
from quotes.deciding.work import Work, work_of_inspection, work_of_revision
from quotes.provenance.models import State
from quotes.provenance.selectors import checks_of, reasons_against
from quotes.resale.selectors import ResaleBasis, resale_for
from workshop.bikes.models import Bike
from workshop.core.access import AccessError
from workshop.shop.models import Shop


@dataclass(frozen=True, slots=True)
class Ground:
    """All that is known of a bike when a decision about it is made.

    ``work`` is None where the bike has not been inspected or its work cannot be priced;
    ``provenance`` are reasons not to buy by where it comes from, ``refused`` says that they are a
    refusal.
    """

    basis: Basis
    work: Work | None
    hidden: tuple[Hidden, ...]
    resale: ResaleBasis
    provenance: tuple[str, ...]
    refused: bool

    @property
    def shop(self) -> Shop:
        """Return the shop."""
        return self.basis.shop

    @property
    def bike(self) -> Bike:
        """Return the bike."""
        return self.basis.bike


def ground_of(bike: Bike, shop: Shop, day: dt.date) -> Ground:
    """Return what is known of a bike, in a constant number of queries."""
    basis = basis_of(bike, shop, day)
    check = checks_of(bike).first()
    return Ground(
        basis=basis,
        work=_work(basis),
        hidden=hidden_in(bike, bike.age_years(day), basis.findings),
        resale=resale_for(bike, day, shop),
        provenance=tuple(reasons_against(check, bike)),
        refused=check is not None and check.state == State.REFUSED,
    )


def _work(basis: Basis) -> Work | None:
    """Return the work as the quote has it, else as it would propose it."""
    if basis.revision is not None:
        return work_of_revision(basis.revision, basis.shop, basis.rates)
    if basis.inspection is None:
        return None
    try:
        return work_of_inspection(basis.inspection, basis.shop, basis.rates)
    except (PricingError, AccessError):
        return None
