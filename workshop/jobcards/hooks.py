"""Whom the bench tells of extra work: the room that asks the customer, which stands higher."""

from __future__ import annotations

from collections.abc import Callable

from workshop.jobcards.models import ExtraWork
from workshop.people.models import User

Asker = Callable[[ExtraWork, User], None]

_askers: list[Asker] = []


def on_extra_work(asker: Asker) -> Asker:
    """Let a room be told of extra work; called once, when the site starts."""
    if asker not in _askers:
        _askers.append(asker)
    return asker


def tell(extra: ExtraWork, by: User) -> None:
    """Tell of extra work that was reported, inside the transaction that reports it."""
    for asker in _askers:
        asker(extra, by)
