"""The four judgements and the three importances, and how one leads to the other."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum


class Judgement(StrEnum):
    """What is thought of a checkpoint, from good to bad."""

    SOUND = "sound"
    WATCH = "watch"
    NEEDS_WORK = "needs_work"
    UNSAFE = "unsafe"

    @property
    def rank(self) -> int:
        """Return 0 for sound up to 3 for unsafe."""
        return list(Judgement).index(self)

    @property
    def label(self) -> str:
        """Return the word shown to people."""
        return self.value.replace("_", " ")


class Importance(StrEnum):
    """How long a job may wait, as a quote says it."""

    MUST = "must"
    SHOULD = "should"
    COULD = "could"

    @property
    def rank(self) -> int:
        """Return 0 for what must be done up to 2 for what could wait."""
        return list(Importance).index(self)

    @property
    def label(self) -> str:
        """Return the words shown to people."""
        return {"must": "must do", "should": "should do", "could": "could wait"}[self.value]


IMPORTANCE_OF = {
    Judgement.UNSAFE: Importance.MUST,
    Judgement.NEEDS_WORK: Importance.SHOULD,
    Judgement.WATCH: Importance.COULD,
}


def worst(judgements: Iterable[Judgement]) -> Judgement | None:
    """Return the worst of the judgements, or None for none at all."""
    return max(judgements, key=lambda each: each.rank, default=None)
