"""Reading the demo shop's files: one row a bike, checked before anything is saved."""

from __future__ import annotations

import csv
import json
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.conf import settings

from workshop.bikes.models import Purpose, Stage

FOLDER = Path(settings.BASE_DIR) / "fixtures" / "demo"
EQUIPMENT = {"R": "has_rack", "M": "has_mudguards", "L": "has_lights"}
CHOICES = ("purpose", "frame", "brake", "rear_brake", "gears", "use")
WORDS = ("frame_number", "frame_number_missing", "make", "model", "colour", "note")


class DemoError(Exception):
    """Raised when the demo's files don't fit the catalogue or the database."""


@dataclass(frozen=True, slots=True)
class BikeRow:
    """A bike of the demo: its fields, how far it has come and what is wrong with it.

    ``found`` are codes of faults and readings ("chain-length=307.1"); ``answer`` is what the
    customer says yes to: all, must, must_should, should or none; ``after`` are readings once the
    work is done.
    """

    fields: dict[str, Any]
    customer: str
    stage: Stage
    days_ago: int
    found: tuple[str, ...]
    resale_price: Decimal | None
    answer: str
    decision_note: str
    photo: str
    after: tuple[str, ...] = ()

    @property
    def check_alone(self) -> bool:
        """Tell whether it is bought, nothing on its quote is done, and it is only looked over."""
        looked_over = {Stage.IN_WORK, Stage.RELEASED}
        return self.stage in looked_over and self.fields["purpose"] == Purpose.BUY_IN


def read_json(name: str) -> Any:  # noqa: ANN401 - as the file has it
    """Return what a JSON file of the demo holds."""
    return json.loads((FOLDER / name).read_text(encoding="utf-8"))


def read_csv(name: str) -> list[dict[str, str]]:
    """Return the rows of a CSV file of the demo, by column."""
    with (FOLDER / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def bike_rows() -> list[BikeRow]:
    """Return the demo's bikes, oldest first.

    Raises:
        DemoError: a row can't be read; the message names file and line.
    """
    rows = []
    for line, row in enumerate(read_csv("bikes.csv"), start=2):
        try:
            rows.append(_bike_row(row))
        except (ArithmeticError, KeyError, ValueError) as error:
            raise DemoError(f"fixtures/demo/bikes.csv, line {line}: {error!r}.") from error
    return sorted(rows, key=lambda row: -row.days_ago)


def _bike_row(row: dict[str, str]) -> BikeRow:
    fields: dict[str, Any] = {name: row[name] for name in (*CHOICES, *WORDS)}
    fields["maker_year"] = int(row["maker_year"]) if row["maker_year"] else None
    fields["bead_seat_mm"] = int(row["bead_seat_mm"])
    fields["asking_price"] = _money(row["asking_price"])
    fields |= {name: letter in row["equipment"] for letter, name in EQUIPMENT.items()}
    return BikeRow(
        fields,
        row["customer"],
        Stage(row["stage"]),
        int(row["days_ago"]),
        _entries(row["found"]),
        _money(row["resale_price"]),
        row["answer"],
        row["decision_note"],
        row["photo"],
        _entries(row["after"] or ""),
    )


def _entries(text: str) -> tuple[str, ...]:
    """Return what stands between semicolons."""
    return tuple(each.strip() for each in text.split(";") if each.strip())


def _money(text: str) -> Decimal | None:
    return Decimal(text) if text else None
