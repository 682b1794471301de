"""Takes a supplier's price list in: stores the file, finds out how it is written."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from django.contrib.auth.models import AbstractBaseUser
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from inventory.pricelists.columns import known
from inventory.pricelists.models import Incoming, Mapping, State
from inventory.pricelists.peeking import Peek, peek
from inventory.reading.rows import LIMITS, SheetError
from inventory.reading.tables import unpack_table
from inventory.suppliers.models import Supplier

NAME_LETTERS = 200


def send_in(
    supplier: Supplier, upload: UploadedFile[bytes], *, by: AbstractBaseUser, today: dt.date
) -> Incoming:
    """Return the incoming list, ready for its columns to be told.

    Raises:
        SheetError: it is no price list that can be read; nothing is kept of it.
    """
    if (upload.size or 0) > LIMITS.file_bytes:
        most = LIMITS.file_bytes // 1_000_000
        raise SheetError(f"The file has {(upload.size or 0) // 1_000_000} MB; {most} are the most.")
    mapping = Mapping.objects.filter(supplier=supplier).first() or Mapping(supplier=supplier)
    incoming = Incoming(
        supplier=supplier,
        name=(upload.name or "price list")[-NAME_LETTERS:],
        valid_from=today,
        whole_range=mapping.whole_range,
        jump_share=mapping.jump_share,
        cost_rule=mapping.cost_rule,
        sent_by_id=by.pk,
    )
    incoming.file.save(incoming.name, upload, save=False)
    try:
        found = unpack(incoming, mapping)
        take(incoming, found)
        incoming.decimal_mark = found.mark or mapping.decimal_mark
        incoming.save()
    except BaseException:
        incoming.clear_folder()
        incoming.file.delete(save=False)
        raise
    return incoming


def unpack(
    incoming: Incoming,
    mapping: Mapping | None = None,
    *,
    encoding: str = "",
    delimiter: str = "",
    sheet: int = 0,
    head_row: int = 0,
) -> Peek:
    """Unpack the stored file, note how it is read, and return what its first rows tell.

    Raises:
        SheetError: it cannot be read so.
    """
    table = unpack_table(
        Path(incoming.file.path),
        incoming.folder,
        known,
        encoding=encoding,
        delimiter=delimiter,
        sheet=sheet,
    )
    incoming.kind, incoming.encoding, incoming.delimiter = (
        table.kind.value,
        table.encoding,
        table.delimiter,
    )
    incoming.sheet, incoming.sheets, incoming.merged = table.sheet, [*table.sheets], table.merged
    return peek(incoming.folder, table, mapping.columns if mapping else {}, head_row)


def take(incoming: Incoming, found: Peek) -> None:
    """Note what the first rows told."""
    incoming.head_row = found.head.number
    incoming.head = list(found.head.cells)
    incoming.columns = dict(found.columns)


@transaction.atomic
def read_otherwise(
    incoming: Incoming, *, encoding: str, delimiter: str, sheet: int, head_row: int
) -> Incoming:
    """Return the list, read in another encoding, parted otherwise, or from another row or sheet.

    Raises:
        SheetError: it cannot be read so; it stays as it was.
    """
    kept = Incoming.objects.select_for_update().get(pk=incoming.pk)
    before = (kept.encoding, kept.delimiter, kept.sheet)
    if not kept.is_open:
        return kept
    mapping = Mapping.objects.filter(supplier=kept.supplier_id).first()
    try:
        found = unpack(
            kept, mapping, encoding=encoding, delimiter=delimiter, sheet=sheet, head_row=head_row
        )
    except SheetError:
        unpack(kept, encoding=before[0], delimiter=before[1], sheet=before[2])
        raise
    take(kept, found)
    kept.decimal_mark = found.mark
    kept.state = State.SENT
    kept.rows.all().delete()
    kept.problems.all().delete()
    kept.save()
    return kept
