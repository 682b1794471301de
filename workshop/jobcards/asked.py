"""What a higher room hands over for a job card: plain data, drawn from an answered quote."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from workshop.core.judgement import Importance, Judgement


@dataclass(frozen=True, slots=True)
class TaskAsked:
    """Work that was accepted. ``code`` is its operation's, or one of its own without one.

    ``minutes`` is the standard time as quoted; ``findings`` are pks of what it puts right.
    """

    code: str
    name: str
    minutes: Decimal
    findings: tuple[int, ...] = ()
    is_operation: bool = True


@dataclass(frozen=True, slots=True)
class PartAsked:
    """A part that was accepted, for the task of that code; ``part`` is its pk."""

    task: str
    part: int
    quantity: Decimal


@dataclass(frozen=True, slots=True)
class DeclinedAsked:
    """Work that was offered and is not wanted, in the quote's words."""

    title: str
    importance: Importance
    place: str = ""
    words: str = ""
    judgement: Judgement | None = None
    findings: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class WorkAsked:
    """All of an answered revision that the bench must know.

    ``step_minutes`` are minutes of access steps as quoted, both ways; ``after`` names for a task
    those that come before it; ``findings`` are all that the revision speaks of.
    """

    quote_number: str
    revision_number: int
    revision_key: int
    tasks: tuple[TaskAsked, ...]
    parts: tuple[PartAsked, ...] = ()
    declined: tuple[DeclinedAsked, ...] = ()
    step_minutes: Mapping[str, Decimal] = field(default_factory=dict)
    after: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    findings: frozenset[int] = frozenset()
