"""Gathers what a release sheet says, in a number of queries that does not grow with the card."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime

from babel.dates import format_date
from django.utils import timezone

from inventory.stock.models import plain
from workshop.core.cautions import DO_NOT_RIDE, MAKER_FIRST, riders_cautions
from workshop.core.judgement import Judgement
from workshop.inspections.models import Finding, JudgementRule, Reading
from workshop.inspections.selectors import findings_of, latest_inspection
from workshop.jobcards.models import (
    AfterReading,
    Declined,
    Drawn,
    JobCard,
    Task,
    TaskKind,
    TaskState,
)
from workshop.jobcards.releasing import torques_of
from workshop.jobcards.sheets.paper import (
    LeftAsItIs,
    PartFitted,
    ReadingCompared,
    SheetPaper,
    Signed,
    TorqueReached,
    WorkDone,
)
from workshop.jobcards.signing import cured_on
from workshop.shop.models import Shop

NOT_READ = "–"


def sheet_paper(card: JobCard, shop: Shop) -> SheetPaper:
    """Return the release sheet of a card that is released."""
    tasks = _work_done(card)
    findings = list(findings_of(latest_inspection(card.bike) or card.inspection))
    cured = set(cured_on(card.bike).values_list("findings", flat=True))
    declined = list(card.declined.prefetch_related("findings"))
    refused = {each.pk for row in declined for each in row.findings.all()}
    unsafe = [each for each in findings if _is_unsafe(each) and each.pk not in cured]
    return SheetPaper(
        shop=shop,
        card=card,
        bike=card.bike,
        language=shop.locale.replace("_", "-"),
        released_on=_day(timezone.localtime(card.released_at).date(), shop),
        next_check_on=_day(card.next_check_on, shop),
        unsafe=tuple(dict.fromkeys(str(each) for each in unsafe)),
        work=tuple(_work(task) for task in tasks),
        parts=_parts(card),
        readings=_readings(card),
        torques=tuple(_torques(card, tasks)),
        declined=tuple(_declined(row) for row in declined),
        watch=tuple(_watch(each) for each in findings if each.pk not in cured | refused),
        signed=_signed(card, shop),
        cautions=_cautions(tasks, unsafe),
    )


def _day(day: date | None, shop: Shop) -> str:
    """Return a day in full in the shop's language, empty where there is none."""
    return format_date(day, "long", locale=shop.locale) if day else ""


def _moment(at: datetime, shop: Shop) -> str:
    """Return a day and time in the shop's language."""
    local = timezone.localtime(at)
    return f"{format_date(local, 'medium', locale=shop.locale)}, {local:%H:%M}"


def _is_unsafe(finding: Finding) -> bool:
    """Tell whether the bike must not be ridden with it."""
    return finding.judgement == Judgement.UNSAFE


def _work_done(card: JobCard) -> list[Task]:
    """Return the work that was done, in order, with what it put right."""
    rows = card.tasks.filter(kind=TaskKind.WORK, state=TaskState.DONE)
    return list(
        rows.order_by("position", "pk").prefetch_related(
            "findings__fault__checkpoint", "findings__check_made__checkpoint"
        )
    )


def _work(task: Task) -> WorkDone:
    """Return a task as it is printed."""
    return WorkDone(task.name, tuple(dict.fromkeys(str(each) for each in task.findings.all())))


def _parts(card: JobCard) -> tuple[PartFitted, ...]:
    """Return the parts that stayed on the bike, a row a part and number."""
    rows = Drawn.objects.filter(row__task__card=card).select_related("row__part")
    fitted: dict[tuple[int, str], list[Drawn]] = {}
    for each in rows.order_by("row__task__position", "pk"):
        if each.quantity > each.returned:
            fitted.setdefault((each.row.part_id, each.serial), []).append(each)
    return tuple(
        PartFitted(
            draws[0].row.part.name,
            f"{plain(sum(each.quantity - each.returned for each in draws))}"  # type: ignore[arg-type] # not empty
            f" {draws[0].row.part.unit}",
            serial,
        )
        for (_part, serial), draws in fitted.items()
    )


def _readings(card: JobCard) -> tuple[ReadingCompared, ...]:
    """Return what was read after the work beside what was read before it."""
    latest: dict[int, AfterReading] = {}
    rows = AfterReading.objects.filter(task__card=card, measure__isnull=False)
    rows = rows.exclude(task__state=TaskState.DROPPED).select_related("measure__checkpoint")
    for row in rows.order_by("pk"):
        latest[row.measure_id or 0] = row
    before = _before(card, latest)
    ordered = sorted(latest.values(), key=_place)
    return tuple(_compared(row, before) for row in ordered)


def _place(row: AfterReading) -> tuple[int, int, int]:
    """Return where a reading stands on the walk."""
    measure = row.measure
    return (measure.checkpoint.order, measure.order, measure.pk) if measure else (0, 0, 0)


def _before(card: JobCard, measures: Iterable[int]) -> Mapping[int, tuple[str, str]]:
    """Return the readings before the work with their judgements, by measure.

    What no rule found fault with is sound where some rule judges that measure at all.
    """
    codes = list(measures)
    judged = set(
        JudgementRule.objects.filter(measure_id__in=codes).values_list("measure_id", flat=True)
    )
    found = dict(
        Finding.objects.filter(
            check_made__inspection=card.inspection_id, rule__measure_id__in=codes
        ).values_list("rule__measure_id", "judgement")
    )
    rows = Reading.objects.filter(check_made__inspection=card.inspection_id, measure_id__in=codes)
    return {
        row.measure_id: (
            str(row),
            found.get(row.measure_id, Judgement.SOUND.value if row.measure_id in judged else ""),
        )
        for row in rows.select_related("measure")
    }


def _compared(row: AfterReading, before: Mapping[int, tuple[str, str]]) -> ReadingCompared:
    """Return a reading beside the one before."""
    value, judgement = before.get(row.measure_id or 0, (NOT_READ, ""))
    return ReadingCompared(
        place=str(row.measure.checkpoint) if row.measure else "",
        measure=row.measure.name if row.measure else "",
        before=value,
        before_judgement=judgement,
        after=str(row),
        after_judgement=row.judgement,
    )


def _torques(card: JobCard, tasks: Iterable[Task]) -> Iterable[TorqueReached]:
    """Yield the torques reached, each beside its figure and whose that is.

    Where a figure of ours was taken from is for the bench, not for the customer.
    """
    for each in torques_of(card, tasks):
        reached = each.reached
        yield TorqueReached(
            each.task,
            str(reached) if reached else "",
            each.figure,
            "ours" if each.figure and not each.is_makers else each.whose,
            reached.judgement if reached else "",
        )


def _declined(row: Declined) -> LeftAsItIs:
    """Return what was declined as it is printed."""
    return LeftAsItIs(row.title, row.place, row.words, row.get_importance_display(), row.judgement)


def _watch(finding: Finding) -> LeftAsItIs:
    """Return a finding that nobody worked on and nobody was asked about."""
    fault = finding.fault
    return LeftAsItIs(fault.name, str(fault.checkpoint), fault.words, "", finding.judgement)


def _signed(card: JobCard, shop: Shop) -> tuple[Signed, ...]:
    """Return the signatures in the order of the check."""
    return tuple(
        Signed(
            str(each.item),
            str(each.by),
            _moment(each.at, shop),
            each.note,
        )
        for each in card.checks.select_related("item", "by")
    )


def _cautions(tasks: Iterable[Task], unsafe: Iterable[Finding]) -> tuple[str, ...]:
    """Return what whoever rides is to mind: what is unsafe first."""
    places = ", ".join(dict.fromkeys(str(each.fault.checkpoint) for each in unsafe))
    first = (DO_NOT_RIDE.format(places=places),) if places else ()
    worked_on = {each.check_made.checkpoint.code for task in tasks for each in task.findings.all()}
    return (*first, *riders_cautions(worked_on), MAKER_FIRST)
