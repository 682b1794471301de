"""Where a bike stands: bought and not yet in the book, in stock, sold; and what forbids a sale."""

from __future__ import annotations

import datetime as dt

from django.db.models import Exists, OuterRef, QuerySet

from quotes.buyin.models import Decision, MarginCheck
from quotes.sales.models import Purchase, Sale
from workshop.bikes.models import Bike, Stage
from workshop.core.cardstates import CardState
from workshop.jobcards.models import JobCard
from workshop.jobcards.signing import unsafe_left


def in_stock(rows: QuerySet[Purchase] | None = None) -> QuerySet[Purchase]:
    """Return the purchases that hold and whose bike is here: never sold, or taken back since."""
    standing = Sale.objects.filter(purchase=OuterRef("pk"), credit_note__isnull=True)
    rows = Purchase.objects.all() if rows is None else rows
    return rows.filter(reversal__isnull=True).exclude(Exists(standing))


def sold(rows: QuerySet[Purchase] | None = None) -> QuerySet[Purchase]:
    """Return the purchases whose bike is sold."""
    standing = Sale.objects.filter(purchase=OuterRef("pk"), credit_note__isnull=True)
    rows = Purchase.objects.all() if rows is None else rows
    return rows.filter(Exists(standing))


def stock_of(bike: Bike) -> Purchase | None:
    """Return the purchase by which a bike stands in stock, None where it does not."""
    return in_stock(Purchase.objects.filter(bike=bike)).last()


def standing_sale(purchase: Purchase) -> Sale | None:
    """Return the sale that holds, None while the bike is in stock."""
    return Sale.objects.filter(purchase=purchase, credit_note__isnull=True).first()


def checks_to_enter() -> QuerySet[MarginCheck]:
    """Return the decisions to buy that no row of the book stands for, the newest of each bike."""
    newer = MarginCheck.objects.filter(
        bike=OuterRef("bike"), pk__gt=OuterRef("pk"), decision__in=(Decision.BUY, Decision.LEAVE)
    )
    here = in_stock(Purchase.objects.filter(bike=OuterRef("bike")))
    entered = Purchase.objects.filter(check_made=OuterRef("pk"), reversal__isnull=True)
    rows = MarginCheck.objects.filter(decision=Decision.BUY)
    return (
        rows.exclude(Exists(entered))
        .exclude(Exists(newer))
        .exclude(Exists(here))
        .exclude(bike__stage=Stage.LEFT)
        .select_related("bike__customer")
    )


def check_to_enter(bike: Bike) -> MarginCheck | None:
    """Return the decision by which a bike was bought, where the book has no row of it yet."""
    return checks_to_enter().filter(bike=bike).first()


def is_ours(bike: Bike) -> bool:
    """Tell whether the shop owns a bike: it stands in stock, or was bought and is not entered."""
    return stock_of(bike) is not None or check_to_enter(bike) is not None


def reasons_not_to_sell(bike: Bike) -> list[str]:
    """Return what forbids handing a bike over, as sentences that say what to do."""
    card = JobCard.objects.filter(bike=bike).exclude(state=CardState.RELEASED.value).first()
    if card is not None:
        return [f"Job card {card} is open for this bike. Finish its work and release it first."]
    reasons = [
        f"Unsafe and not put right: {each}. Put it right on a job card first."
        for each in unsafe_left(bike)
    ]
    if bike.stage != Stage.RELEASED and not reasons:
        reasons.append(
            f"The bike is “{bike.get_stage_display()}”, not released. Open a job card, do its "
            "work and sign the release check."
        )
    return reasons


def since(purchase: Purchase) -> dt.date:
    """Return the day from which the bike can be sold: bought on, or taken back on."""
    days = Sale.objects.filter(purchase=purchase, credit_note__isnull=False).values_list(
        "credit_note__returned_on", flat=True
    )
    return max([purchase.bought_on, *days])
