"""The quote as it stands on paper: everything the template prints, in the order it prints it."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from quotes.core.lines import Sum, Totals
from workshop.bikes.models import Bike
from workshop.core.drawing import Drawing
from workshop.core.judgement import Importance, Judgement
from workshop.core.naming import place_and_fault
from workshop.customers.models import Customer
from workshop.shop.models import Shop


@dataclass(frozen=True, slots=True)
class PrintedPhoto:
    """A photo made small: ``url`` is what the template names, ``data`` the JPEG behind it."""

    url: str
    data: bytes
    alt: str


@dataclass(frozen=True, slots=True)
class PrintedLine:
    """A row with amounts. ``measure`` is how much of it at what price; ``notes`` stand below.

    ``net``, ``vat`` and ``gross`` are zero where the line is left out, so that what is printed
    always adds up.
    """

    description: str
    measure: str
    notes: tuple[str, ...]
    importance: Importance
    vat_rate: Decimal
    net: Decimal
    vat: Decimal
    gross: Decimal
    left_out: bool


@dataclass(frozen=True, slots=True)
class PrintedFinding:
    """A finding with what cures it. ``number`` is the one beside its mark on the drawing.

    ``standing`` says why it has no price of its own, where it has none.
    """

    number: int
    checkpoint: str
    title: str
    words: str
    readings: str
    note: str
    judgement: Judgement
    deal_breaker: bool
    importance: Importance
    importance_reason: str
    remedy: str
    remedy_words: str
    standing: str
    lines: tuple[PrintedLine, ...]
    photos: tuple[PrintedPhoto, ...]
    photos_left: int = 0

    @property
    def heading(self) -> str:
        """Return place and fault, the place said once."""
        return place_and_fault(self.checkpoint, self.title)


@dataclass(frozen=True, slots=True)
class NotTested:
    """A checkpoint that could not be tested, and why."""

    name: str
    reason: str


@dataclass(frozen=True, slots=True)
class ChangedLine:
    """What became of a line since the last revision; amounts gross, None where there is none."""

    what: str
    description: str
    before: Decimal | None
    after: Decimal | None


@dataclass(frozen=True, slots=True)
class Changes:
    """What changed against the last revision that was sent, whose number is ``revision``.

    ``before`` and ``after`` are the gross sums, None where no price is offered.
    """

    revision: int
    before: Decimal | None
    after: Decimal | None
    findings: tuple[str, ...]
    rows: tuple[ChangedLine, ...]


@dataclass(frozen=True, slots=True)
class Count:
    """How many checkpoints or findings have a judgement."""

    judgement: Judgement
    number: int


@dataclass(frozen=True, slots=True)
class Paper:
    """A revision ready to be printed."""

    shop: Shop
    number: str
    revision: int
    draft: bool
    language: str
    issued_on: dt.date
    valid_until: dt.date | None
    prepared_by: str
    message: str
    bike: Bike
    customer: Customer
    photo: PrintedPhoto | None
    no_price: bool
    counts: tuple[Count, ...]
    drawing: Drawing | None
    findings: tuple[PrintedFinding, ...]
    shared: tuple[PrintedLine, ...]
    further: tuple[PrintedLine, ...]
    totals: Totals
    hourly: tuple[Decimal, ...]
    shows_vat: bool
    not_looked_at: tuple[str, ...]
    not_tested: tuple[NotTested, ...]
    not_included: tuple[str, ...]
    cautions: tuple[str, ...]
    changes: Changes | None

    @property
    def reference(self) -> str:
        """Return number and revision as they stand in the foot of each page."""
        return f"{self.number} · revision {self.revision}"

    @property
    def title(self) -> str:
        """Return the title of the document."""
        kind = "Draft of quote" if self.draft else "Quote"
        bike = f"{self.bike.make} {self.bike.model}".strip()
        return f"{kind} {self.number}, revision {self.revision}: {bike}"

    @property
    def deal_breakers(self) -> tuple[PrintedFinding, ...]:
        """Return the findings that end the matter whatever the price."""
        return tuple(each for each in self.findings if each.deal_breaker)

    @property
    def unsafe(self) -> tuple[PrintedFinding, ...]:
        """Return the findings with which the bike must not be ridden."""
        return tuple(each for each in self.findings if each.judgement is Judgement.UNSAFE)

    @property
    def waiting_for_price(self) -> tuple[PrintedFinding, ...]:
        """Return the findings that nobody has priced and that nothing else cures."""
        return tuple(each for each in self.findings if each.standing == TO_BE_PRICED)

    @property
    def lines(self) -> tuple[PrintedLine, ...]:
        """Return every printed line in its order."""
        own = tuple(line for each in self.findings for line in each.lines)
        return own + self.shared + self.further

    @property
    def sums(self) -> tuple[tuple[Importance, Sum], ...]:
        """Return the sums by importance, of those that have lines."""
        present = {line.importance for line in self.lines if not line.left_out}
        sums = self.totals.by_importance
        return tuple((each, sums[each]) for each in Importance if each in present)

    @property
    def usual_rate(self) -> Decimal | None:
        """Return the VAT rate of most lines, which the column's head names; None without lines."""
        rates = Counter(line.vat_rate for line in self.lines if not line.left_out)
        return max(rates, key=lambda rate: (rates[rate], rate), default=None)

    def photos(self) -> Iterator[PrintedPhoto]:
        """Yield every photo on the paper."""
        if self.photo:
            yield self.photo
        for finding in self.findings:
            yield from finding.photos


TO_BE_PRICED = "Not priced yet: it is not in the totals below."
