"""Takes a reading of the frame number: the first, or the second without sight of the first."""

from __future__ import annotations

from django.db import transaction

from quotes.provenance.models import ProvenanceCheck
from quotes.provenance.verbs.locking import locked
from workshop.bikes.models import normal_frame_number
from workshop.people.models import User


class ReadingError(Exception):
    """Raised where a reading can't be taken; nothing is kept of it."""


class ReadingsDifferError(ReadingError):
    """Raised where the second reading is not the first one."""

    def __init__(self) -> None:
        super().__init__(
            "This is not what was read first, so it is not kept. Clean the number, take a light, "
            "and read it again letter by letter: 0 and O, 1 and I, 5 and S, 8 and B look alike. "
            "Where it stays so, begin both readings anew."
        )


@transaction.atomic
def read_frame(check: ProvenanceCheck, number: str, by: User) -> ProvenanceCheck:
    """Return the check with one reading more.

    Raises:
        ConcludedError: the check is concluded.
        ReadingsDifferError: the second reading differs from the first; it is not kept.
        ReadingError: there is nothing to read in the text, or both readings are there.
    """
    check = locked(check)
    number = " ".join(number.upper().split())
    if not normal_frame_number(number):
        raise ReadingError("Write the letters and figures that are stamped into the frame.")
    if check.frame_first and check.frame_second:
        raise ReadingError("The frame number has been read twice. Begin anew to read it again.")
    if not check.frame_first:
        check.frame_first, check.frame_first_by = number, by
    elif normal_frame_number(number) == normal_frame_number(check.frame_first):
        check.frame_second, check.frame_second_by = number, by
    else:
        raise ReadingsDifferError
    check.save()
    return check


@transaction.atomic
def begin_readings_anew(check: ProvenanceCheck) -> ProvenanceCheck:
    """Return the check without readings; raises ConcludedError where it is concluded."""
    check = locked(check)
    check.frame_first = check.frame_second = ""
    check.frame_first_by = check.frame_second_by = None
    check.save()
    return check
