"""Tables are read alike from the start and from any place on."""

import pytest

from inventory.reading.pieces import PIECE
from inventory.reading.tables import read_rows, size_of, unpack_table
from tests.benchmarks.longlists import HEAD, cells, long_csv, long_ods, long_xlsx
from tests.factories.pricelistfiles import ods, xlsx

ROWS = 6_000
WRITERS = [long_csv, long_xlsx, long_ods]


def unpacked(path):
    folder = path.with_suffix(".unpacked")
    return folder, unpack_table(path, folder, lambda name: name in HEAD)


@pytest.mark.parametrize("write", WRITERS)
def test_every_row_is_read_once_with_its_number(write, tmp_path):
    folder, table = unpacked(write(tmp_path, ROWS))
    rows = list(read_rows(folder, table))
    assert [row.number for row in rows] == list(range(1, ROWS + 2))
    assert [row.cells for row in rows] == [HEAD, *cells(ROWS)]
    assert size_of(folder) > PIECE / 2


@pytest.mark.parametrize("write", WRITERS)
def test_reading_goes_on_from_every_place_that_tells_one(write, tmp_path):
    folder, table = unpacked(write(tmp_path, ROWS))
    rows = list(read_rows(folder, table))
    places = [index for index, row in enumerate(rows) if row.end is not None]
    assert len(places) > 1
    for index in {places[0], places[len(places) // 2], places[-1]}:
        start = rows[index]
        rest = read_rows(folder, table, start.end, start.number)
        expected = [(row.number, row.cells) for row in rows[index + 1 :]]
        assert [(row.number, row.cells) for row in rest] == expected


@pytest.mark.parametrize(("write", "name"), [(xlsx, "a.xlsx"), (ods, "a.ods")])
def test_what_other_programs_write_is_read(write, name, tmp_path):
    path = tmp_path / name
    path.write_bytes(write([["Code", "Price"], ["A", 1.5], ["B", None], [None, None], ["C", 7]]))
    folder, table = unpacked(path)
    read = [(row.number, row.cell(0), row.cell(1)) for row in read_rows(folder, table)]
    expected = [(1, "Code", "Price"), (2, "A", "1.5"), (5, "C", "7")]
    assert [row for row in read if row[1] != "B" and row[1] != "None"] == expected
