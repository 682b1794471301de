"""What is known of a bike’s sizes, which parts fit it, and which like bikes can tell more."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inventory.core.fitting import Facts, Fit, does_it_fit
from inventory.parts.models import FitFacts
from workshop.bikes.models import Bike, BikeFit, in_words

MOST_OFFERS = 3
LOOKED_AT = 50
"""So many like bikes, newest first, are looked at for sizes."""


@dataclass(frozen=True, slots=True)
class Known:
    """A size with its name, in words."""

    name: str
    value: str


@dataclass(frozen=True, slots=True)
class Offer:
    """A bike of the same make and model with sizes that the one in hand lacks."""

    bike: Bike
    sizes: tuple[Known, ...]


def fit_of(bike: Bike) -> BikeFit:
    """Return the sizes of a bike, not saved where there are none yet, in one query."""
    kept = BikeFit.objects.filter(bike=bike).first() or BikeFit()
    kept.bike = bike
    return kept


def facts_of(bike: Bike) -> Facts:
    """Return what is known of a bike, as it is compared with parts, in one query."""
    return fit_of(bike).facts()


def fits_of(bike: Bike, parts: Iterable[int]) -> dict[int, Fit]:
    """Return whether parts (by pk) fit a bike, those of which something tells; two queries."""
    rows = list(FitFacts.objects.filter(part__in=set(parts)))
    if not rows:
        return {}
    known = facts_of(bike)
    return {row.part_id: does_it_fit(row.facts(), known) for row in rows if row.told}


def known_of(fit: BikeFit) -> tuple[Known, ...]:
    """Return the sizes that are known, in words."""
    return tuple(_known(fit, name) for name in fit.known())


def _known(fit: BikeFit, name: str) -> Known:
    field = fit._meta.get_field(name)
    label, _, unit = str(getattr(field, "verbose_name", name)).partition(", ")
    value = in_words(fit, name)
    figure = f"{value.normalize():f}" if isinstance(value, Decimal) else str(value)
    return Known(label, f"{figure} {unit}".strip())


def pad_shapes() -> list[str]:
    """Return the shapes of brake pads that parts and bikes here have, in two queries."""
    parts = FitFacts.objects.exclude(pad_shape="").values_list("pad_shape", flat=True)
    bikes = BikeFit.objects.exclude(pad_shape="").values_list("pad_shape", flat=True)
    return sorted({*parts, *bikes}, key=str.casefold)


def offers_for(bike: Bike) -> tuple[Offer, ...]:
    """Return like bikes whose sizes may be taken over, newest first, in two queries.

    Each tells something that the bike lacks and that those before it do not tell.
    """
    if not bike.model:
        return ()
    lacking = set(BikeFit.names()) - fit_of(bike).known().keys()
    rows = BikeFit.objects.filter(bike__make__iexact=bike.make, bike__model__iexact=bike.model)
    offers: list[Offer] = []
    for row in rows.exclude(bike=bike).select_related("bike").order_by("-bike_id")[:LOOKED_AT]:
        told = [name for name in row.known() if name in lacking]
        if told and len(offers) < MOST_OFFERS:
            offers.append(Offer(row.bike, tuple(_known(row, name) for name in told)))
            lacking -= set(told)
    return tuple(offers)
