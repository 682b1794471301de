"""Reports extra work: a new finding from the bench, with a photo, that stops what it touches."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from workshop.core.cardstates import Action
from workshop.core.judgement import Judgement
from workshop.inspections.judging import FaultInput
from workshop.inspections.models import Check, Checkpoint, Fault, Finding, Inspection, Outcome
from workshop.inspections.selectors import latest_inspection
from workshop.inspections.verbs.finish import finish_inspection
from workshop.inspections.verbs.record import record_check
from workshop.inspections.verbs.reopen import reopen_inspection
from workshop.jobcards.errors import JobCardError
from workshop.jobcards.holding import done, held, permit, seen_before
from workshop.jobcards.hooks import tell
from workshop.jobcards.models import ExtraWork, JobCard, Task, TaskState
from workshop.jobcards.verbs.tick import void_signatures
from workshop.people.models import User

REST = "Not looked at again when extra work was found."
MOST_NOTE = 1000


class ExtraError(JobCardError):
    """Raised where extra work can't be reported; ``field`` names what it is about."""

    def __init__(self, message: str, field: str = "") -> None:
        self.field = field
        super().__init__(message)


@transaction.atomic
def report_extra(
    card: JobCard,
    fault: Fault,
    *,
    by: User,
    key: str,
    note: str,
    photos: Sequence[UploadedFile[bytes]],
    stops: Collection[int] = (),
) -> ExtraWork:
    """Return the extra work: recorded in the bike's inspection, and told to who asks the customer.

    ``stops`` are the tasks (pks) that can't go on before the answer; those not to do any more are
    left as they are. The rest of the card goes on. The same ``key`` again reports nothing.

    Raises:
        ExtraError: there is no photo, or the fault stands in the inspection already.
        CardStateError: the bike has been released.
        EntryError, PhotoError: as recording in the inspection does.
        KeyClashError: the key was used for something else.
    """
    locked = held(card.pk)
    if seen_before(locked, key, Action.REPORT_EXTRA, fault.pk):
        return locked.extras.get(finding__fault=fault)
    permit(locked, Action.REPORT_EXTRA)
    if not photos:
        raise ExtraError("Take a photo of it: the customer is shown why it costs more.", "photos")
    finding = _record(locked, fault, note=note, photos=photos, by=by)
    extra = ExtraWork.objects.create(card=locked, finding=finding, note=note[:MOST_NOTE], by=by)
    _stop(locked.tasks.filter(pk__in=stops, state=TaskState.TO_DO), extra)
    void_signatures(locked)
    words = f"extra work: {finding}"
    done(locked, Action.REPORT_EXTRA, key=key, by=by, words=words, subject=fault.pk)
    tell(extra, by)
    extra.refresh_from_db()
    return extra


def _stop(tasks: Iterable[Task], extra: ExtraWork) -> None:
    """Stop tasks until the customer has answered."""
    for task in tasks:
        task.state, task.extra, task.version = TaskState.STOPPED, extra, task.version + 1
        task.save(update_fields=["state", "extra", "version"])


def _record(
    card: JobCard, fault: Fault, *, note: str, photos: Sequence[UploadedFile[bytes]], by: User
) -> Finding:
    """Record the fault in the bike's latest inspection beside what stands there, and return it."""
    inspection = latest_inspection(card.bike) or card.inspection
    was_finished = inspection.finished_at is not None
    if was_finished:
        inspection = reopen_inspection(inspection)
    point = Checkpoint.objects.get(pk=fault.checkpoint_id)
    check = _check_at(inspection, point)
    if check and check.findings.filter(fault=fault).exclude(judgement=Judgement.SOUND).exists():
        raise ExtraError(
            f"“{fault}” stands in the inspection already, and on the quote: nothing new.", "fault"
        )
    recorded = record_check(
        inspection,
        point,
        by=by,
        base_version=check.version if check else 0,
        outcome=Outcome.FINDINGS,
        faults=[*_faults_of(check, but=fault), FaultInput(fault.code)],
        readings={row.measure.code: row.value for row in check.readings.all()} if check else {},
        note="\n".join(filter(None, (check.note if check else "", note.strip())))[:MOST_NOTE],
        photos=photos,
    )
    if was_finished:
        finish_inspection(inspection, by, rest_because=REST)
    return recorded.findings.get(fault=fault)


def _check_at(inspection: Inspection, point: Checkpoint) -> Check | None:
    """Return what is recorded at a checkpoint, with its findings and readings."""
    rows = inspection.checks.prefetch_related("findings__fault", "findings__rule")
    return rows.prefetch_related("readings__measure").filter(checkpoint=point).first()


def _faults_of(check: Check | None, *, but: Fault) -> list[FaultInput]:
    """Return the faults recorded at a check as they would be entered again."""
    if check is None:
        return []
    return [
        FaultInput(
            row.fault.code,
            Judgement(row.judgement) if row.judgement != row.rule_judgement else None,
            row.override_reason if row.judgement != row.rule_judgement else "",
            observed=row.rule is None or row.rule.measure_id is None,
        )
        for row in check.findings.all()
        if row.fault_id != but.pk
    ]
