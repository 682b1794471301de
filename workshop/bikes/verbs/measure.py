"""Keeps the sizes of a bike that decide which parts fit it."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import transaction

from workshop.bikes.models import Bike, BikeFit

RIM = "bead_seat_mm"
"""The one size that stands with the bike itself."""


class NothingToTakeError(Exception):
    """Raised where another bike tells nothing that this one lacks."""


def locked_fit(bike: Bike) -> BikeFit:
    """Return the sizes of a bike, the bike locked against others who measure it."""
    locked = Bike.objects.select_for_update().get(pk=bike.pk)
    kept = BikeFit.objects.filter(bike=locked).first() or BikeFit()
    kept.bike = locked
    return kept


@transaction.atomic
def measure_bike(bike: Bike, sizes: Mapping[str, object]) -> BikeFit:
    """Keep sizes (by name), the rim diameter ``bead_seat_mm`` among them; the rest stay.

    Raises:
        ValidationError: a size is not plausible.
    """
    fit = locked_fit(bike)
    for name, value in sizes.items():
        setattr(fit.bike if name == RIM else fit, name, value)
    fit.full_clean(exclude=("bike",))
    if fit.pk or fit.known():
        fit.save()
    if RIM in sizes:
        fit.bike.full_clean(exclude=("stock_no", "photo"))
        fit.bike.save(update_fields=[RIM])
    return fit


@transaction.atomic
def take_over(bike: Bike, other: Bike) -> BikeFit:
    """Take over from a like bike what is not known of this one; what is known stays.

    Raises:
        NothingToTakeError: the other is of another make or model, or tells nothing new.
    """
    fit = locked_fit(bike)
    told = BikeFit.objects.filter(
        bike=other, bike__make__iexact=bike.make, bike__model__iexact=bike.model
    ).first()
    known = fit.known()
    told_sizes = told.known() if told else {}
    new = {name: value for name, value in told_sizes.items() if name not in known}
    if not new or not bike.model:
        raise NothingToTakeError(f"{other.stock_no} tells no size that {bike.stock_no} lacks.")
    for name, value in new.items():
        setattr(fit, name, value)
    fit.save()
    return fit
