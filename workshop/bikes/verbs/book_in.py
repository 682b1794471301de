"""Books a bike in: gives it a stock number and, where they are new, its customer a record."""

from __future__ import annotations

from django.db import IntegrityError, transaction

from inventory.numbering.verbs.next_number import next_number
from workshop.bikes.models import Bike
from workshop.bikes.selectors import bike_with_frame_number
from workshop.customers.models import Customer
from workshop.people.models import User


class DuplicateFrameError(Exception):
    """Raised when a bike with this frame number is here already; ``bike`` is that one."""

    def __init__(self, bike: Bike) -> None:
        self.bike = bike
        super().__init__(f"A bike with frame number {bike.frame_number} is here already: {bike}.")


@transaction.atomic
def book_in(*, by: User, customer: Customer, **fields: object) -> Bike:
    """Return the new bike, at stage "booked in", with the next stock number.

    ``fields`` are fields of ``Bike``. A customer who is not saved yet is saved with it; where
    anything fails neither is.

    Raises:
        DuplicateFrameError: the frame number is another bike's.
        ValidationError: a value is not one that a bike can have.
    """
    if not customer.pk:
        customer.full_clean()
        customer.save()
    bike = Bike(customer=customer, booked_in_by=by, **fields)
    refuse_twin(bike)
    bike.full_clean(exclude=("stock_no", "photo"))
    bike.stock_no = next_number("bike", "B", 4)
    save_once(bike)
    return bike


def refuse_twin(bike: Bike) -> None:
    """See that no other bike has the frame number.

    Raises:
        DuplicateFrameError: one has.
    """
    twin = bike_with_frame_number(bike.frame_number, other_than=bike)
    if twin is not None:
        raise DuplicateFrameError(twin)


def save_once(bike: Bike, update_fields: list[str] | None = None) -> None:
    """Save the bike; where another one took the frame number meanwhile, leave no new photo behind.

    Raises:
        DuplicateFrameError: another bike of that frame number was saved at the same time.
    """
    try:
        with transaction.atomic():
            bike.save(update_fields=update_fields)
    except IntegrityError:
        # where the photo is not saved, it is the one that the bike had before and still has
        if bike.photo and (update_fields is None or "photo" in update_fields):
            bike.photo.delete(save=False)
        refuse_twin(bike)
        raise
