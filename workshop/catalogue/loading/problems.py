"""What can be wrong in the catalogue's files, and how it is said."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Place:
    """Where something stands: the file, the entry in it, the field of the entry."""

    file: str
    entry: str = ""
    field: str = ""

    def at(self, field: str) -> Place:
        """Return the same entry's place with a field named."""
        return Place(self.file, self.entry, field)

    def __str__(self) -> str:
        """Return the three, as far as they are known."""
        return ", ".join(part for part in (self.file, self.entry, self.field) if part)


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong, and what to do about it."""

    place: Place
    message: str

    def __str__(self) -> str:
        """Return the place and the message in one line."""
        return f"{self.place}: {self.message}"


class CatalogueError(Exception):
    """Raised when the files cannot be loaded; nothing has been saved then."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(map(str, self.problems)))
