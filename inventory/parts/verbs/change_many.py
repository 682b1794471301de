"""Changes many parts, as somebody has looked it over: all of them or none, with history."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.utils import timezone
from simple_history.utils import bulk_update_with_history

from inventory.parts.changing import FIELDS, Outcome, Tally, Wish, money_on, outcomes
from inventory.parts.models import Part

AT_ONCE = 1000


class ChangedMeanwhileError(Exception):
    """Raised where the parts, or what they are reckoned with, are not what was looked over."""

    def __init__(self) -> None:
        super().__init__(
            "Something about these parts was changed after you looked it over. "
            "Nothing has been saved: look it over once more."
        )


def tallied(keys: Sequence[int], wish: Wish) -> Tally:
    """Return what the wish comes to for the parts of these keys, as they are now."""
    tally, money = Tally(), money_on(timezone.localdate())
    for some in portions(keys):
        rows = Part.objects.filter(pk__in=some).order_by("pk")
        for each in outcomes(rows, wish, money):
            tally.add(each)
    return tally


@transaction.atomic
def change_many(keys: Sequence[int], wish: Wish, *, seal: str, by: AbstractBaseUser) -> Tally:
    """Change the parts of these keys as wished and return what it came to.

    ``seal`` is that of the tally which was looked over.

    Raises:
        ChangedMeanwhileError: it would come to something else by now.
    """
    tally, money = Tally(), money_on(timezone.localdate())
    for some in portions(keys):
        rows = Part.objects.select_for_update().filter(pk__in=some).order_by("pk")
        changing = []
        for each in outcomes(rows, wish, money):
            tally.add(each)
            if each.changes:
                changing.append(changed(each))
        bulk_update_with_history(
            changing,
            Part,
            FIELDS,
            default_user=by,
            default_change_reason="changed with others",
        )
    if tally.seal != seal:
        raise ChangedMeanwhileError
    return tally


def changed(each: Outcome) -> Part:
    """Return the part as it is afterwards."""
    for name, value in each.after.items():
        setattr(each.part, name, value)
    return each.part


def portions(keys: Sequence[int]) -> Iterator[Sequence[int]]:
    """Yield keys in order, some at a time; each stands there once."""
    told = sorted(set(keys))
    for start in range(0, len(told), AT_ONCE):
        yield told[start : start + AT_ONCE]
