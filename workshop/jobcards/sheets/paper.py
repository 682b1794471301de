"""The release sheet as it stands on paper: plain data, in the order in which it is printed."""

from __future__ import annotations

from dataclasses import dataclass

from workshop.bikes.models import Bike
from workshop.jobcards.models import JobCard
from workshop.shop.models import Shop


@dataclass(frozen=True, slots=True)
class WorkDone:
    """A task that was done, with what it put right."""

    name: str
    cured: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PartFitted:
    """A part that stayed on the bike; ``serial`` is the number of its batch or its own."""

    name: str
    quantity: str
    serial: str


@dataclass(frozen=True, slots=True)
class ReadingCompared:
    """A value before and after the work, each with its judgement's slug, empty where none is."""

    place: str
    measure: str
    before: str
    before_judgement: str
    after: str
    after_judgement: str


@dataclass(frozen=True, slots=True)
class TorqueReached:
    """A fastener's torque: what was reached, the figure, whose it is; empty where not noted."""

    task: str
    reached: str
    figure: str
    whose: str
    judgement: str


@dataclass(frozen=True, slots=True)
class LeftAsItIs:
    """Something declined, or to be watched: what, where, why it matters, its judgement's slug."""

    title: str
    place: str
    words: str
    importance: str
    judgement: str


@dataclass(frozen=True, slots=True)
class Signed:
    """An item of the release check with who signed it and when."""

    item: str
    by: str
    at: str
    note: str


@dataclass(frozen=True, slots=True)
class SheetPaper:
    """A release ready to be printed; ``unsafe`` is why the bike must not be ridden."""

    shop: Shop
    card: JobCard
    bike: Bike
    language: str
    released_on: str
    next_check_on: str
    unsafe: tuple[str, ...]
    work: tuple[WorkDone, ...]
    parts: tuple[PartFitted, ...]
    readings: tuple[ReadingCompared, ...]
    torques: tuple[TorqueReached, ...]
    declined: tuple[LeftAsItIs, ...]
    watch: tuple[LeftAsItIs, ...]
    signed: tuple[Signed, ...]
    cautions: tuple[str, ...]

    @property
    def title(self) -> str:
        """Return the title of the document."""
        bike = f"{self.bike.make} {self.bike.model}".strip()
        return f"Release sheet {self.card.number}: {bike}"
