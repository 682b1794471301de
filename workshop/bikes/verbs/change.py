"""Changes what is kept about a bike."""

from __future__ import annotations

from functools import partial

from django.core.files.base import File
from django.core.files.storage import default_storage
from django.db import transaction

from workshop.bikes.models import Bike
from workshop.bikes.verbs.book_in import refuse_twin, save_once
from workshop.customers.models import Customer


@transaction.atomic
def change_bike(
    bike: Bike, *, customer: Customer, photo: File[bytes] | None = None, **fields: object
) -> Bike:
    """Return the bike with its new facts; its stage is left as it stands in the database.

    A new photo takes the old one's place, whose file is deleted.

    Raises:
        DuplicateFrameError: the frame number is another bike's.
        ValidationError: a value is not one that a bike can have.
    """
    if not customer.pk:
        customer.full_clean()
        customer.save()
    names = [*fields, "customer", "frame_key"]
    for name, value in {**fields, "customer": customer}.items():
        setattr(bike, name, value)
    refuse_twin(bike)
    bike.full_clean(exclude=("stock_no", "photo"))
    if photo is not None:
        if bike.photo.name:
            transaction.on_commit(partial(default_storage.delete, bike.photo.name))
        bike.photo = photo
        names.append("photo")
    save_once(bike, names)
    return bike
