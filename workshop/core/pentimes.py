"""Times from paper: minutes written beside a task, laid out as spans that do not overlap."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Written:
    """What stands beside a task: who, minutes, when it was done; None where only a day's end is.

    ``row`` names the task; ``person`` may be anything that tells people apart.
    """

    row: int
    person: int
    minutes: Decimal
    done_at: dt.datetime | None


@dataclass(frozen=True, slots=True)
class Laid:
    """A span of work on a task."""

    row: int
    person: int
    began: dt.datetime
    ended: dt.datetime


class OverlapError(ValueError):
    """Raised where somebody would have worked on two things at once; ``row`` is the second."""

    def __init__(self, row: int, began: dt.datetime, ended: dt.datetime) -> None:
        self.row, self.began, self.ended = row, began, ended
        super().__init__("Worked on two things at once.")


def lay_out(rows: Sequence[Written], *, end: dt.datetime) -> Mapping[int, Laid]:
    """Return each row's span, in the order in which the tasks stand on the card.

    A row with a time of its own ends then. The others of a person are laid back to back, so that
    the last of them ends at ``end`` or, where a row with a time follows, as that one begins.
    """
    found: dict[int, Laid] = {}
    free: dict[int, dt.datetime] = {}
    for each in reversed(rows):
        ended = each.done_at or free.get(each.person, end)
        began = ended - dt.timedelta(minutes=float(each.minutes))
        found[each.row] = Laid(each.row, each.person, began, ended)
        free[each.person] = min(began, free.get(each.person, began))
    return MappingProxyType({each.row: found[each.row] for each in rows})


def refuse_overlaps(laid: Iterable[Laid], others: Iterable[Laid] = ()) -> None:
    """See that nobody worked on two things at once; ``others`` are times known before.

    Raises:
        OverlapError: somebody did; the row is one of ``laid``.
    """
    mine = [each for each in laid if each.ended > each.began]
    for number, each in enumerate(mine):
        for other in (*mine[:number], *others):
            together = each.began < other.ended and other.began < each.ended
            if each.person == other.person and together:
                raise OverlapError(each.row, other.began, other.ended)
