"""Access steps shared between operations: each distinct one is done, and charged, once."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class AccessStep:
    """Work to reach something, ``minutes`` out and in; ``needs`` are codes that come first."""

    code: str
    name: str
    minutes: Decimal
    band: str
    needs: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Operation:
    """A piece of labour with its standard time in minutes, without access.

    ``access`` are codes of steps; ``covers`` are codes of operations this one makes needless.
    """

    code: str
    name: str
    minutes: Decimal
    band: str
    access: frozenset[str] = frozenset()
    covers: frozenset[str] = frozenset()
