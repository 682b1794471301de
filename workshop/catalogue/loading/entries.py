"""Reading the files: every entry as it stands, with what is nested in it laid side by side."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from workshop.catalogue.loading.kinds import KINDS, NESTED
from workshop.catalogue.loading.problems import CatalogueError, Place, Problem

Data = dict[str, Any]
COUNTRIES = "countries"
"""Name of the folder with a file for each country."""


@dataclass(frozen=True, slots=True)
class Entry:
    """An entry of a file, not yet checked."""

    kind: str
    place: Place
    data: Data


def read_folder(folder: Path, problems: list[Problem], *, country: str = "") -> list[Entry]:
    """Return the entries of every TOML file below the folder, in the files' order.

    Of a folder ``countries`` only the file of the country is read, by its ISO 3166 code: the
    rates and rules of one country. What cannot be read is added to ``problems``. Raises
    ``CatalogueError`` where there is no file.
    """
    files = [each for each in sorted(folder.rglob("*.toml")) if _concerns(each, country)]
    if not files:
        message = "holds no .toml file; name the catalogue's folder"
        raise CatalogueError([Problem(Place(str(folder)), message)])
    return [entry for file in files for entry in read_file(file, folder, problems)]


def _concerns(file: Path, country: str) -> bool:
    """Tell whether a file is for every country, or for this one."""
    return file.parent.name != COUNTRIES or file.stem == country.lower()


def read_file(file: Path, folder: Path, problems: list[Problem]) -> Iterator[Entry]:
    """Yield the entries of one file, nested ones after the one that holds them."""
    name = file.relative_to(folder).as_posix()
    try:
        tables = tomllib.loads(file.read_text(encoding="utf-8"), parse_float=Decimal)
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        problems.append(Problem(Place(name), f"is not readable as TOML: {error}"))
        return
    for kind, entries in tables.items():
        if kind not in KINDS or kind in NESTED:
            known = ", ".join(f"[[{each}]]" for each in KINDS if each not in NESTED)
            problems.append(Problem(Place(name), f"[[{kind}]] is not known; known are {known}"))
        else:
            yield from _entries(kind, entries, Place(name), problems)


def _entries(kind: str, found: object, where: Place, problems: list[Problem]) -> Iterator[Entry]:
    if not isinstance(found, list) or not all(isinstance(each, dict) for each in found):
        problems.append(Problem(where.at(kind), f"must be written as [[{kind}]]"))
        return
    for number, data in enumerate(found, 1):
        entry = Entry(kind, Place(where.file, entry_name(kind, data, number)), data)
        if kind == "checkpoint":
            yield from _unfold_checkpoint(entry, problems)
        else:
            yield entry


def entry_name(kind: str, data: Data, number: int) -> str:
    """Return how an entry is named in a message: by its key, else by its number."""
    words = [str(data[name]) for name in KINDS[kind].key if name in data]
    return f"{kind} {' '.join(words)!r}" if words else f"{kind} no. {number} of the file"


def _unfold_checkpoint(entry: Entry, problems: list[Problem]) -> Iterator[Entry]:
    own = {key: value for key, value in entry.data.items() if key not in KINDS}
    yield Entry(entry.kind, entry.place, own)
    code = entry.data.get("code", "")
    for kind in ("measure", "fault", "rule"):
        inner = _entries(kind, entry.data.get(kind, []), entry.place, problems)
        for order, each in enumerate(inner):
            ordered = {} if kind == "rule" else {"order": order}
            yield Entry(kind, each.place, {"checkpoint": code, **ordered, **each.data})
