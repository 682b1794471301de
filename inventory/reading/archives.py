"""Zip files from outside: what is in them, and what is refused before anything is unpacked."""

from __future__ import annotations

import zipfile
from pathlib import Path

from inventory.reading.rows import LIMITS, Bounds, Kind, SheetError

ZIP = b"PK\x03\x04"
EMPTY_ZIP = b"PK\x05\x06"
COMPOUND = b"\xd0\xcf\x11\xe0"
ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
ODS_TYPE = b"application/vnd.oasis.opendocument.spreadsheet"
SMALL = 1_000_000
PASSWORD = "This file is protected by a password. Save it without one and send it again."  # noqa: S105
UNSOUND = "This workbook is damaged or was cut off on its way. Open it, save it and send it again."


def refuse_compound(path: Path) -> None:
    """Refuse an old workbook, and a new one that is wrapped with a password.

    Raises:
        SheetError: the file is one of these.
    """
    with path.open("rb") as file:
        if file.read(4) != COMPOUND:
            return
        rest = file.read(LIMITS.side_bytes)
    if ENCRYPTED in rest:
        raise SheetError(PASSWORD)
    raise SheetError("This is an old workbook (.xls). Save it as .xlsx, .ods or CSV.")


def opened(path: Path, limits: Bounds = LIMITS) -> zipfile.ZipFile:
    """Return the zip file once its table of contents is known to be within bounds.

    Nothing is unpacked here. A member is never read beyond the size the table tells.

    Raises:
        SheetError: it is damaged, would grow too large, or is protected.
    """
    try:
        archive = zipfile.ZipFile(path)
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as error:
        raise SheetError(UNSOUND) from error
    try:
        _check(archive.infolist(), limits)
    except SheetError:
        archive.close()
        raise
    return archive


def _check(members: list[zipfile.ZipInfo], limits: Bounds) -> None:
    """Refuse what is too much."""
    if len(members) > limits.members:
        raise SheetError(f"There are {len(members):,} files packed in this one: it is no workbook.")
    if any(each.flag_bits & 1 for each in members):
        raise SheetError(PASSWORD)
    total = sum(each.file_size for each in members)
    packed = sum(each.compress_size for each in members)
    if total > limits.unpacked_bytes:
        raise SheetError(
            f"Unpacked this file is {total // 1_000_000:,} MB; "
            f"{limits.unpacked_bytes // 1_000_000} MB are the most. Send the list as CSV, in parts."
        )
    if total > SMALL and total > packed * limits.times_packed:
        raise SheetError(
            f"Unpacked this file is {total // max(packed, 1):,} times as large: no price list is. "
            "Do not open it unless you know who made it."
        )


def kind_of(path: Path) -> Kind:
    """Return what kind of table a file is, by what is in it and not by its name.

    Raises:
        SheetError: it is a workbook that is not read, or a zip file of something else.
    """
    refuse_compound(path)
    with path.open("rb") as file:
        start = file.read(4)
    if start == EMPTY_ZIP:
        raise SheetError("This zip file is empty. Send the price list itself.")
    if start != ZIP:
        return Kind.TEXT
    with opened(path) as archive:
        names = set(archive.namelist())
        if "xl/workbook.xml" in names:
            return Kind.XLSX
        if "content.xml" in names and member(archive, "mimetype", 200).startswith(ODS_TYPE):
            if b"encryption-data" in member(archive, "META-INF/manifest.xml", LIMITS.side_bytes):
                raise SheetError(PASSWORD)
            return Kind.ODS
    if "xl/workbook.bin" in names:
        raise SheetError("This is a binary workbook (.xlsb). Save it as .xlsx, .ods or CSV.")
    if "word/document.xml" in names or "content.xml" in names:
        raise SheetError("This is a document, not a table. Save its table as .xlsx, .ods or CSV.")
    raise SheetError("This is a zip file. Unpack it and send the price list in it.")


def member(archive: zipfile.ZipFile, name: str, most: int) -> bytes:
    """Return a member that is small enough, empty where there is none.

    Raises:
        SheetError: it is larger than ``most`` bytes, or damaged.
    """
    try:
        info = archive.getinfo(name)
    except KeyError:
        return b""
    if info.file_size > most:
        raise SheetError(f"“{name}” in this workbook is too large. Send the list as CSV.")
    try:
        return archive.read(info)
    except (zipfile.BadZipFile, OSError, EOFError, ValueError, NotImplementedError) as error:
        raise SheetError(UNSOUND) from error
    except Exception as error:  # zlib.error and the like of other packings share no base
        raise SheetError(UNSOUND) from error


def unpack(archive: zipfile.ZipFile, name: str, target: Path) -> None:
    """Write a member to a file, in pieces.

    Raises:
        SheetError: it is missing or damaged.
    """
    try:
        with archive.open(name) as source, target.open("wb") as out:
            while piece := source.read(1 << 20):
                out.write(piece)
    except (
        Exception
    ) as error:  # as above: a damaged member fails in as many ways as there are packings
        raise SheetError(UNSOUND) from error
