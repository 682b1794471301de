"""A revision with findings and lines of every sort, as the printed quote is tested with."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django.core.files.base import ContentFile

from quotes.quoting.models import Line, LineKind, Quote, QuotedFinding, Revision, State
from quotes.quoting.selectors.found import NOT_LOOKED_AT
from tests.factories.bikes import BikeFactory
from tests.factories.inspections import (
    CheckFactory,
    CheckpointFactory,
    FaultFactory,
    FindingFactory,
    InspectionFactory,
    PhotoFactory,
    jpeg,
)
from tests.factories.labour import OperationFactory, RemedyFactory
from tests.factories.people import UserFactory
from tests.factories.shop import ShopFactory
from workshop.core.judgement import IMPORTANCE_OF, Judgement
from workshop.inspections.models import Inspection, Outcome

TIMED = {LineKind.LABOUR, LineKind.ACCESS}
PENNY = Decimal("0.01")
FINISHED = dt.datetime(2026, 11, 2, 16, tzinfo=dt.UTC)


@dataclass
class RevisionBuilder:
    """Builds a draft piece by piece; ``send()`` makes it an issued one."""

    bike: Any = None
    vat_rate: Decimal = Decimal("0.2")
    revision: Revision = field(init=False)
    inspection: Inspection = field(init=False)
    made: int = 0

    def __post_init__(self) -> None:
        """Make shop, bike, inspection, quote and an empty draft."""
        self.shop = ShopFactory.create(
            terms="Faults that show only once a part is off: we ask before we go on.\nCollection."
        )
        self.person = UserFactory.create(desk=True, first_name="Ines", last_name="Aldbury")
        bike = self.bike or BikeFactory.create()
        self.inspection = InspectionFactory.create(
            bike=bike, started_by=self.person, finished_by=self.person, finished_at=FINISHED
        )
        number = f"Q{Quote.objects.count() + 1:04}"
        quote = Quote.objects.create(
            number=number,
            bike=bike,
            inspection=self.inspection,
            customer=bike.customer,
            created_by=self.person,
        )
        self.revision = self._draft(quote, 1)

    def _draft(self, quote: Quote, number: int) -> Revision:
        """Make an empty draft."""
        return Revision.objects.create(
            quote=quote,
            number=number,
            priced_on=dt.date(2026, 11, 2),
            valid_until=dt.date(2026, 12, 2),
            created_by=self.person,
        )

    def finding(
        self,
        place: str,
        title: str,
        judgement: Judgement = Judgement.NEEDS_WORK,
        *,
        check: Any = None,
        code: str = "",
        **fields: Any,
    ) -> QuotedFinding:
        """Add a finding with a remedy of its own; ``remedy=None`` leaves it without."""
        self.made += 1
        named = {"code": code} if code else {}
        point = CheckpointFactory.create(name=place, **named)
        fault = FaultFactory.create(checkpoint=point, name=title)
        kept = {"check_made": check} if check else {"check_made__inspection": self.inspection}
        found = FindingFactory.create(fault=fault, judgement=judgement.value, **kept)
        operation = OperationFactory.create()
        remedy = RemedyFactory.create(
            name=f"Put right: {title.lower()}",
            words="It is taken apart, cleaned and set up afresh.",
            does=[operation],
        )
        values = {
            "words": f"{title}: left alone it gets worse and costs more.",
            "remedy": remedy,
            "remedy_name": remedy.name,
            "importance": IMPORTANCE_OF[judgement].value,
            **fields,
        }
        if values["remedy"] is None:
            values["remedy_name"] = ""
        return QuotedFinding.objects.create(
            revision=self.revision,
            finding=found,
            position=self.made,
            checkpoint_code=point.code,
            checkpoint_name=place,
            title=title,
            judgement=judgement.value,
            **values,
        )

    def line(
        self,
        description: str,
        net: str,
        findings: Sequence[QuotedFinding] = (),
        kind: LineKind = LineKind.LABOUR,
        *,
        add_up: bool = True,
        **fields: Any,
    ) -> Line:
        """Add a line of a net amount, with VAT at the builder's rate or that in ``vat_rate``."""
        rate = Decimal(fields.pop("vat_rate", self.vat_rate))
        amount = Decimal(net)
        vat = (amount * rate).quantize(PENNY, ROUND_HALF_UP)
        count = self.revision.lines.count() + 1
        values = {
            "importance": findings[0].importance if findings else "should",
            "quantity": Decimal(15) if kind in TIMED else Decimal(1),
            "unit": "min" if kind in TIMED else "pc",
            "unit_price_net": amount,
            "reason": "asked for at the counter" if kind == LineKind.HAND else "",
            "vat_code": "standard",
            **fields,
        }
        row = Line.objects.create(
            revision=self.revision,
            position=count,
            kind=kind,
            key=f"{kind}:{count}",
            description=description,
            net=amount,
            vat_rate=rate,
            vat=vat,
            gross=amount + vat,
            **values,
        )
        row.findings.set(findings)
        if add_up:
            self._add_up()
        return row

    def sound(self, place: str) -> None:
        """Add a checkpoint found sound."""
        CheckFactory.create(
            inspection=self.inspection, checkpoint=CheckpointFactory.create(name=place)
        )

    def not_tested(self, place: str, reason: str) -> None:
        """Add a checkpoint that could not be tested."""
        CheckFactory.create(
            inspection=self.inspection,
            checkpoint=CheckpointFactory.create(name=place),
            outcome=Outcome.NOT_TESTED,
            not_tested_reason=reason,
        )
        self.revision.not_tested = [*self.revision.not_tested, {"name": place, "reason": reason}]
        self.revision.save()

    def not_looked_at(self, place: str) -> None:
        """Add a checkpoint that nobody has looked at."""
        CheckpointFactory.create(name=place)
        missing = {"name": place, "reason": NOT_LOOKED_AT}
        self.revision.not_tested = [*self.revision.not_tested, missing]
        self.revision.save()

    def with_photos(self, width: int = 640, height: int = 480) -> None:
        """Add a photo of the bike, one of the first finding and three of the second."""
        bike = self.revision.quote.bike
        bike.photo.save("bike.jpg", ContentFile(jpeg(width, height)))
        first, second = self.inspection.checks.filter(outcome=Outcome.FINDINGS)[:2]
        for check in (first, second, second, second):
            picture = ContentFile(jpeg(width, height), name="seen.jpg")
            PhotoFactory.create(check_made=check, image=picture)

    def many_lines(self, count: int, findings: Sequence[QuotedFinding]) -> None:
        """Add parts by the hundred, the findings taking turns."""
        for number in range(count):
            finding = findings[number % len(findings)]
            price = f"{1 + number % 9}.{number % 100:02}"
            self.line(f"Small part no. {number}", price, [finding], LineKind.PART, add_up=False)
        self._add_up()

    def send(self) -> Revision:
        """Freeze the draft as sent on 3 November 2026 at noon."""
        self.revision.state = State.SENT
        self.revision.sent_by = self.person
        self.revision.sent_at = dt.datetime(2026, 11, 3, 12, tzinfo=dt.UTC)
        self.revision.save()
        return Revision.objects.get(pk=self.revision.pk)

    def next_revision(self) -> Revision:
        """Supersede the sent revision and begin an empty draft after it."""
        Revision.objects.filter(pk=self.revision.pk).update(state=State.SUPERSEDED)
        self.revision = self._draft(self.revision.quote, self.revision.number + 1)
        return self.revision

    def _add_up(self) -> None:
        """Keep the revision's totals in step with its lines."""
        lines = [line for line in self.revision.lines.all() if not line.left_out]
        self.revision.net = sum((line.net for line in lines), Decimal(0))
        self.revision.vat = sum((line.vat for line in lines), Decimal(0))
        self.revision.gross = sum((line.gross for line in lines), Decimal(0))
        self.revision.save()


def full_builder(bike: Any = None) -> RevisionBuilder:
    """Return a draft that has one of everything."""
    made = RevisionBuilder(bike=bike)
    hinge = made.finding(
        "Main frame hinge",
        "Movement in the closed hinge",
        Judgement.UNSAFE,
        readings="play 0.4 mm",
        code="main-hinge",
    )
    wheel = made.finding("Rear wheel", "Rim hollow from braking", readings="hollow 0.6 mm")
    hub = made.finding("Rear hub", "Play in the bearings", readings="play 0.3 mm")
    pads = made.finding(
        "Rear brake",
        "Pads worn to the line",
        Judgement.UNSAFE,
        importance_reason="the road test needs it",
        code="rear-rim-brake",
    )
    chain = made.finding("Chain", "Stretched", Judgement.WATCH, readings="306.4 mm over 24 pitches")
    made.finding(
        "Cassette", "Worn with the chain", Judgement.WATCH, covered_by="Renew chain and sprockets"
    )
    same = made.finding("Chainring", "Hooked teeth", Judgement.WATCH)
    rack = made.finding(
        "Rack", "Weld gone at the left foot", remedy=None, note="Customer says it came loose twice."
    )
    made.line("Strip, ream and set the main hinge", "32.00", [hinge], quantity=Decimal(40))
    made.line("Hinge pin and bushes", "14.50", [hinge], LineKind.PART, unit="set")
    made.line("Rear wheel out and in", "6.40", [wheel, hub, pads], LineKind.ACCESS)
    made.line("Build the rear wheel on a new rim", "44.00", [wheel], quantity=Decimal(55))
    made.line("Rim, 28 holes", "27.90", [wheel], LineKind.PART)
    made.line("Adjust and grease the hub", "16.00", [hub], quantity=Decimal(20))
    made.line("Fit and set rear pads", "8.00", [pads], quantity=Decimal(10))
    made.line("Brake pads", "9.95", [pads], LineKind.PART, unit="pair")
    made.line("Renew chain and sprockets", "20.00", [chain, same], quantity=Decimal(25))
    made.line("Chain", "17.49", [chain], LineKind.PART)
    made.line("Chain guard", "12.00", [chain], LineKind.PART, left_out=True, reason="not wanted")
    made.line("Weld the rack's foot", "25.00", [rack], LineKind.HAND)
    made.line("Grease, cleaner, cable ends", "3.80", [], LineKind.SUNDRY)
    made.line("Book on mending", "9.99", [], LineKind.HAND, vat_rate="0", vat_code="zero")
    for place in ("Front hub", "Front rim", "Headset", "Stem hinge", "Saddle", "Seat post"):
        made.sound(place)
    made.not_tested("Bottom bracket", "the cranks are seized on")
    made.not_looked_at("Lights")
    return made
