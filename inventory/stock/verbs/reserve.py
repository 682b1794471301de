"""Sets parts aside for something, so that nobody else draws them."""

from __future__ import annotations

from decimal import Decimal

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction

from inventory.parts.models import Part
from inventory.stock.booking import checked_quantity, lock
from inventory.stock.errors import KeyUsedError, NotEnoughError, StockError
from inventory.stock.models import Reservation, plain


@transaction.atomic
def reserve(
    part: Part, *, quantity: Decimal, reference: str, by: AbstractBaseUser, key: str
) -> Reservation:
    """Return the reservation. The same ``key`` again gives the same one and reserves nothing.

    Raises:
        NotEnoughError: fewer are free.
        StockError: the quantity is none that can be booked, or it is not said what for.
        KeyUsedError: the key is another reservation's.
    """
    checked_quantity(quantity)
    if not reference.strip():
        raise StockError("Write what it is reserved for: a bike, a quote, a customer.")
    level = lock(part)
    found = Reservation.objects.filter(key=key).first()
    if found is not None:
        if (found.part_id, found.quantity) != (part.pk, quantity):
            raise KeyUsedError(key)
        return found
    if quantity > level.available:
        raise NotEnoughError(
            f"{part.name}: only {plain(level.available)} {part.unit} are free of the "
            f"{plain(level.on_hand)} on hand."
        )
    level.reserved += quantity
    level.save(update_fields=["reserved"])
    return Reservation.objects.create(
        part=part,
        quantity=quantity,
        left=quantity,
        reference=reference.strip(),
        by_id=by.pk,
        key=key,
    )
