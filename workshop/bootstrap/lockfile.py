"""Reads requirements.lock: sections of pinned packages, each with its own digest."""

import hashlib
import re
from pathlib import Path
from typing import NamedTuple

RUNTIME = "runtime"
TEST = "test"


class Section(NamedTuple):
    """One marked part of the lock file."""

    name: str
    text: str

    @property
    def digest(self) -> str:
        """SHA-256 of the section: another pin, another digest."""
        return hashlib.sha256(self.text.encode()).hexdigest()

    @property
    def pins(self) -> list[str]:
        """The pinned packages, each as ``name==version``, those of other platforms too."""
        return re.findall(r"(?m)^[a-z0-9][a-z0-9._-]*==[^\s;\\]+", self.text)


def read_sections(lock: Path) -> dict[str, Section]:
    """Return the lock file's sections by name.

    Raises:
        ValueError: the file has no ``# [runtime]`` or no ``# [test]`` line.
    """
    pieces = re.split(r"(?m)^# \[(\w+)\]\n", lock.read_text(encoding="utf-8"))
    found = {
        name: Section(name, text.strip() + "\n")
        for name, text in zip(pieces[1::2], pieces[2::2], strict=True)
    }
    missing = {RUNTIME, TEST} - found.keys()
    if missing:
        raise ValueError(f"{lock.name} lacks the section {', '.join(sorted(missing))}")
    return found
