"""What a load did: rows added, changed and left alone, and where shop and files differ."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from workshop.catalogue.loading.kinds import KINDS


@dataclass(frozen=True, slots=True)
class Difference:
    """A row that the shop holds otherwise than the files, field by field."""

    kind: str
    key: str
    fields: dict[str, tuple[object, object]]
    """For each field that differs what the shop holds and what the file says."""

    def __str__(self) -> str:
        """Return the row with its fields in one line."""
        parts = (f"{name}: {here!s} here, {there!s} in the file" for name, (here, there) in self)
        return f"{KINDS[self.kind].label} {self.key}: {'; '.join(parts)}"

    def __iter__(self) -> Iterator[tuple[str, tuple[object, object]]]:
        """Go through the fields that differ."""
        return iter(self.fields.items())


@dataclass(slots=True)
class Report:
    """What a load did. ``kept`` are differences left as the shop has them."""

    added: Counter[str] = field(default_factory=Counter)
    unchanged: Counter[str] = field(default_factory=Counter)
    changed: list[Difference] = field(default_factory=list)
    kept: list[Difference] = field(default_factory=list)

    def lines(self) -> Iterator[str]:
        """Yield the report line by line, for the terminal."""
        yield f"Added {_counted(self.added)}."
        yield f"Left as they were: {_counted(self.unchanged)}."
        if self.changed:
            yield f"Changed to what the files say: {len(self.changed)}."
            yield from (f"  {each}" for each in self.changed)
        if self.kept:
            yield f"Kept as the shop has them: {len(self.kept)}. To take the files' values instead:"
            yield "load_catalogue --overwrite"
            yield from (f"  {each}" for each in self.kept)


def _counted(counts: Counter[str]) -> str:
    words = [
        f"{count} {KINDS[kind].label if count == 1 else KINDS[kind].plural}"
        for kind, count in counts.items()
        if count
    ]
    return ", ".join(words) or "nothing"
