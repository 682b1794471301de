"""What other rooms wait for beyond what is set aside for them, and telling them what comes in.

A room that uses parts registers a source, which says what it waits for, and a listener, which
hears of every movement that brings something in once that is committed.
"""

from __future__ import annotations

import datetime as dt
import logging
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import partial

from django.db import transaction

from inventory.stock.models import StockMovement

logger = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Want:
    """So many of a part, in its unit, that somebody waits for and for whom none are set aside.

    ``reference`` says for what, ``promised_on`` for when that is promised, ``url`` where it is
    looked at.
    """

    part_id: int
    quantity: Decimal
    reference: str
    promised_on: dt.date | None = None
    url: str = ""


Source = Callable[[Iterable[int] | None], Iterable[Want]]
"""Gives what is waited for of some parts, or of all, in a constant number of queries."""
Listener = Callable[[StockMovement], None]

_sources: list[Source] = []
_listeners: list[Listener] = []


def register(source: Source, listener: Listener) -> None:
    """Ask a room for what it waits for, and tell it what comes in; called as the site starts."""
    if source not in _sources:
        _sources.append(source)
    if listener not in _listeners:
        _listeners.append(listener)


def wants_of(parts: Iterable[int] | None = None) -> dict[int, list[Want]]:
    """Return what is waited for by part, what is promised first before the rest."""
    asked = None if parts is None else list(parts)
    found: dict[int, list[Want]] = defaultdict(list)
    for source in _sources:
        for want in source(asked):
            found[want.part_id].append(want)
    for wants in found.values():
        wants.sort(key=lambda each: (each.promised_on or dt.date.max, each.reference))
    return found


def tell(movement: StockMovement) -> None:
    """Tell the listeners of what a movement brought in, once it is committed.

    What came in stays come in, whatever a listener runs into: that goes to the log.
    """
    for listener in _listeners:
        transaction.on_commit(partial(_heard, listener, movement))


def _heard(listener: Listener, movement: StockMovement) -> None:
    """Let one listener hear of a movement."""
    try:
        listener(movement)
    except Exception:
        logger.exception("Nobody could be told of what came in with movement %s.", movement.pk)
