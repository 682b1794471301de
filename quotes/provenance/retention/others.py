"""Personal data that other rooms keep: each says what of it is due, and deletes it when told."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from quotes.provenance.models import RetentionKind
from quotes.provenance.retention.due import Due, Kept

Cutoffs = Mapping[RetentionKind, dt.datetime]
Pks = Mapping[RetentionKind, Sequence[int]]


@dataclass(frozen=True, slots=True)
class Keeper:
    """A room that keeps personal data of kinds of its own.

    ``due`` says what is due before the moments given, ``delete`` deletes it and returns how many,
    ``kept`` names what stays of it all the same.
    """

    kinds: tuple[RetentionKind, ...]
    due: Callable[[Cutoffs], dict[RetentionKind, list[Due]]]
    delete: Callable[[Pks], int]
    kept: Callable[[Pks], Sequence[Kept]]


_keepers: list[Keeper] = []


def register(keeper: Keeper) -> None:
    """Add a room once; called when the site starts."""
    if keeper not in _keepers:
        _keepers.append(keeper)


def keepers() -> tuple[Keeper, ...]:
    """Return the rooms."""
    return tuple(_keepers)
