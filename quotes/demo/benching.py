"""Leaves demo bikes at the bench: job cards begun, under way, waiting and to be checked."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import islice

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from quotes.acceptance.verbs.open_card import open_card_for
from quotes.demo.repairing import PACE, later, work_on
from quotes.demo.rows import FOLDER, BikeRow, DemoError, read_csv
from quotes.quoting.models import Revision
from workshop.inspections.models import Fault, Inspection
from workshop.jobcards.models import JobCard, Task, TaskKind, TaskState
from workshop.jobcards.verbs.report_extra import report_extra
from workshop.jobcards.verbs.times import start_time
from workshop.people.models import User

HOUR = Decimal(60)
LATELY = Decimal(20)
"""Minutes ago at which the time began that still runs."""
PHOTO = "folding-2.jpg"


@dataclass(frozen=True, slots=True)
class CardRow:
    """How far a card of the demo has come.

    ``done`` are the tasks done, all of them where ``bench`` is checking; ``promised_in`` are days
    from today; ``extra`` is the code of a fault found on strip-down.
    """

    bench: str
    done: int
    promised_in: int
    go_ahead: Decimal | None
    extra: str
    running: bool


def card_rows() -> dict[str, CardRow]:
    """Return how far the cards have come, by the bike's frame number.

    Raises:
        DemoError: a row can't be read.
    """
    try:
        return {row["frame_number"]: _card_row(row) for row in read_csv("cards.csv")}
    except (ArithmeticError, KeyError, ValueError) as error:
        raise DemoError(f"fixtures/demo/cards.csv: {error!r}.") from error


def _card_row(row: dict[str, str]) -> CardRow:
    go_ahead = Decimal(row["go_ahead"]) if row["go_ahead"] else None
    return CardRow(
        row["bench"],
        int(row["done"]),
        int(row["promised_in"]),
        go_ahead,
        row["extra"],
        bool(row["running"]),
    )


def leave_at_bench(
    row: BikeRow, inspection: Inspection, desk: User, hand: User, other: User
) -> JobCard:
    """Open the card and do as much as its row says; two people take turns.

    Raises:
        DemoError: there is no row for the bike.
    """
    asked = card_rows().get(row.fields["frame_number"])
    if asked is None:
        raise DemoError(f"fixtures/demo/cards.csv has no row for {row.fields['frame_number']}.")
    revision = Revision.objects.get(quote__inspection=inspection)
    promised = timezone.localdate() + dt.timedelta(days=row.days_ago + asked.promised_in)
    card = open_card_for(revision, by=desk, promised_on=promised, go_ahead_gross=asked.go_ahead)
    gone = _do(card, asked.done, HOUR, row, hand, other)
    if asked.extra:
        gone = _find_extra(card, asked.extra, gone, hand)
    if asked.bench == "checking":
        _do(card, card.tasks.count(), gone, row, hand, other)
    return card


def start_clocks(hands: Sequence[User]) -> None:
    """Let the time of one person after another run on the cards that say so, since a while ago."""
    running = [number for number, asked in card_rows().items() if asked.running]
    cards = JobCard.objects.filter(bike__frame_number__in=running).order_by("pk")
    for card, hand in zip(cards, hands, strict=False):
        task = card.tasks.filter(state=TaskState.TO_DO).first()
        if task is not None:
            with later(-LATELY):
                start_time(task, by=hand, key="demo-running")


def _do(card: JobCard, tasks: int, gone: Decimal, row: BikeRow, hand: User, other: User) -> Decimal:
    """Do so many tasks from where the card stands, and return the minutes gone then."""
    after = {code: Decimal(value) for code, _, value in (each.partition("=") for each in row.after)}
    to_do = card.tasks.filter(state=TaskState.TO_DO).order_by("position", "pk")
    for number, task in enumerate(list(islice(to_do, tasks))):
        minutes = task.minutes * PACE[number % len(PACE)]
        who = other if number % 3 == 2 else hand  # noqa: PLR2004 - every third
        work_on(task, who, after, begun=gone, minutes=minutes)
        gone += minutes
    return gone


def _find_extra(card: JobCard, code: str, gone: Decimal, hand: User) -> Decimal:
    """Report a fault found on strip-down, which stops the next piece of work."""
    rest = Task.objects.filter(card=card, state=TaskState.TO_DO, kind=TaskKind.WORK)
    stopped = rest.order_by("-position").values_list("pk", flat=True)[:1]
    picture = (FOLDER / "photos" / PHOTO).read_bytes()
    with later(gone + LATELY):
        report_extra(
            card,
            Fault.objects.get(code=code),
            by=hand,
            key="demo-extra",
            note="Seen once it was apart.",
            photos=[SimpleUploadedFile(PHOTO, picture, "image/jpeg")],
            stops=list(stopped),
        )
    card.refresh_from_db()
    return gone + 2 * LATELY
