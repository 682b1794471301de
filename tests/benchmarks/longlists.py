"""Long price lists, and what reading one takes in a program of its own."""

from __future__ import annotations

import json
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from stdnum import ean

MOST_MB = 100
"""What reading 200,000 rows may take above a program that has only imported the reader."""
HEAD = ("Code", "EAN", "Name", "Pack", "Price", "Discount", "Currency")
PROGRAM = """
import json, re, sys, time
from pathlib import Path
from inventory.reading.tables import read_rows, unpack_table
# not getrusage: there a program inherits the peak of the one that started it
status = Path("/proc/self/status")
peak = lambda: int(re.search(r"VmHWM:\\s+(\\d+) kB", status.read_text())[1]) / 1024
path, before, start = Path(sys.argv[1]), peak(), time.perf_counter()
folder = path.with_suffix(".unpacked")
table = unpack_table(path, folder, lambda name: name in {"Code", "Name", "Price"})
unpacking = time.perf_counter() - start
rows = sum(1 for _ in read_rows(folder, table))
seconds = time.perf_counter() - start
print(json.dumps({"rows": rows, "more_mb": peak() - before, "seconds": seconds,
    "unpacking": unpacking}))
"""


@dataclass(frozen=True, slots=True)
class Measured:
    """Rows read, memory above the program's own at its peak in MB, seconds, those of unpacking."""

    rows: int
    more_mb: float
    seconds: float
    unpacking: float


def measured(path: Path) -> Measured:
    """Read a list in a program of its own and return what that took."""
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(path)], capture_output=True, text=True, check=True
    )
    return Measured(**json.loads(done.stdout))


def cells(count: int) -> Iterator[tuple[str, ...]]:
    """Yield the rows of a list, each with a code and a name of its own."""
    for n in range(count):
        price = f"{1 + n % 900}.{n % 100:02}"
        number = f"{400 * 10**9 + n}"
        gtin = number + ean.calc_check_digit(number)
        yield (f"A{n:06}", gtin, f"Block {n}, black", "1", price, "40", "GBP")


def long_csv(folder: Path, count: int) -> Path:
    """Write a CSV file."""
    path = folder / "long.csv"
    with path.open("w", encoding="utf-8") as file:
        for row in (HEAD, *cells(count)):
            file.write(";".join(row) + "\n")
    return path


def long_xlsx(folder: Path, count: int) -> Path:
    """Write a workbook with shared texts, as spreadsheets save it."""
    path = folder / "long.xlsx"
    ns = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    link = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as book:
        book.writestr(
            "xl/workbook.xml",
            f'<workbook xmlns="{ns}" xmlns:r="{link}"><sheets><sheet name="Prices" sheetId="1" '
            'r:id="rId1"/></sheets></workbook>',
        )
        book.writestr(
            "xl/_rels/workbook.xml.rels",
            '<Relationships><Relationship Id="rId1" Target="worksheets/sheet1.xml"/>'
            "</Relationships>",
        )
        with book.open("xl/sharedStrings.xml", "w") as texts:
            texts.write(f'<sst xmlns="{ns}">'.encode())
            for row in (HEAD, *cells(count)):
                texts.write("".join(f"<si><t>{cell}</t></si>" for cell in row).encode())
            texts.write(b"</sst>")
        with book.open("xl/worksheets/sheet1.xml", "w") as sheet:
            sheet.write(f'<worksheet xmlns="{ns}"><sheetData>'.encode())
            for number in range(count + 1):
                sheet.write(_xlsx_row(number).encode())
            sheet.write(b"</sheetData></worksheet>")
    return path


def _xlsx_row(number: int) -> str:
    first = number * len(HEAD)
    inner = "".join(
        f'<c r="{letter}{number + 1}" t="s"><v>{first + place}</v></c>'
        for place, letter in enumerate("ABCDEFG")
    )
    return f'<row r="{number + 1}">{inner}</row>'


def long_ods(folder: Path, count: int) -> Path:
    """Write a spreadsheet of the OpenDocument kind."""
    path = folder / "long.ods"
    spaces = " ".join(
        f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
        for name in ("office", "table", "text")
    )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as book:
        book.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        with book.open("content.xml", "w") as content:
            content.write(
                f"<office:document-content {spaces}><office:body><office:spreadsheet>"
                '<table:table table:name="Prices">'.encode()
            )
            for row in (HEAD, *cells(count)):
                inner = "".join(
                    f'<table:table-cell office:value-type="string"><text:p>{cell}</text:p>'
                    "</table:table-cell>"
                    for cell in row
                )
                content.write(f"<table:table-row>{inner}</table:table-row>".encode())
            content.write(
                b"</table:table></office:spreadsheet></office:body></office:document-content>"
            )
    return path
