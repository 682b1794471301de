"""Records what was found at a checkpoint."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.db.models import ProtectedError

from workshop.bikes.models import Bike
from workshop.bikes.photos import clean_photo
from workshop.bikes.verbs.measure import measure_bike
from workshop.inspections.judging import Entry, EntryError, FaultInput, Judge, Resolved
from workshop.inspections.models import Check, Checkpoint, Finding, Inspection, Outcome, Reading
from workshop.inspections.selectors import judge_for
from workshop.inspections.verbs.locking import lock_open
from workshop.inspections.verbs.photos import keep_photos
from workshop.people.models import User


class StaleCheckError(Exception):
    """Raised when somebody saved the checkpoint meanwhile; ``check`` is what they saved."""

    def __init__(self, check: Check) -> None:
        """Keep the check as it stands."""
        self.check = check
        super().__init__(f"{check.by} has saved “{check.checkpoint}” meanwhile.")


def record_check(  # noqa: PLR0913 - what a person enters, all of it named at the call
    inspection: Inspection,
    checkpoint: Checkpoint,
    *,
    by: User,
    base_version: int,
    outcome: Outcome,
    faults: Sequence[FaultInput] = (),
    readings: Mapping[str, Decimal] | None = None,
    note: str = "",
    not_tested_reason: str = "",
    photos: Iterable[UploadedFile[bytes]] = (),
) -> Check:
    """Record a look at a checkpoint: readings, faults, note and photos, all or nothing.

    ``base_version`` is the version the person started from, 0 where nothing was recorded. With
    ``outcome`` FINDINGS readings that the rules find sound, and no faults, come to SOUND. To save
    again what already stands, without photos, changes nothing and is no error: a double tap.

    Raises:
        EntryError: the entry can't be kept as it is; its ``field`` says where.
        PhotoError: a photo is too large or no photo.
        StaleCheckError: somebody saved the checkpoint meanwhile.
        FinishedError: the inspection is finished.
    """
    entry = Entry(outcome, faults, readings or {}, note.strip(), not_tested_reason.strip())
    cleaned = [clean_photo(upload) for upload in photos]
    with transaction.atomic():
        locked = lock_open(inspection)
        check = locked.checks.filter(checkpoint=checkpoint).select_related("by").first()
        if check is None and not (checkpoint.active and checkpoint.applies_to(locked.bike)):
            raise EntryError(f"“{checkpoint}” does not belong to the walk round this bike.")
        judge = judge_for(locked, checkpoint.code, check)
        reached, found = judge.resolve(entry)
        if check is None:
            check = Check(inspection=locked, checkpoint=checkpoint, version=0)
        elif check.version != base_version:
            if not cleaned and _stands(check, entry, reached, found):
                return check
            raise StaleCheckError(check)
        _write(check, entry, reached, by)
        _write_readings(check, entry.readings, judge)
        _keep_sizes(locked.bike, entry.readings, judge)
        _write_findings(check, found, by)
        keep_photos(check, cleaned, by)
    return check


def record_sound(
    inspection: Inspection,
    checkpoint: Checkpoint,
    *,
    by: User,
    base_version: int,
    readings: Mapping[str, Decimal] | None = None,
    note: str = "",
) -> Check:
    """Record that a checkpoint is sound; raises as ``record_check`` does."""
    return record_check(
        inspection,
        checkpoint,
        by=by,
        base_version=base_version,
        outcome=Outcome.SOUND,
        readings=readings,
        note=note,
    )


def _stands(check: Check, entry: Entry, reached: Outcome, found: Sequence[Resolved]) -> bool:
    """Tell whether exactly this is already recorded."""
    now = (check.outcome, check.note, check.not_tested_reason)
    if now != (reached, entry.note, entry.not_tested_reason):
        return False
    readings = {row.measure.code: row.value for row in check.readings.select_related("measure")}
    findings = {row.fault_id: (row.judgement, row.override_reason) for row in check.findings.all()}
    return readings == dict(entry.readings) and findings == {
        each.judged.fault.pk: (each.judgement.value, each.reason) for each in found
    }


def _write(check: Check, entry: Entry, reached: Outcome, by: User) -> None:
    """Write the check itself, one version further."""
    check.outcome = reached
    check.note = entry.note
    check.not_tested_reason = entry.not_tested_reason if reached == Outcome.NOT_TESTED else ""
    check.by = by
    check.version += 1
    check.full_clean(exclude=("inspection", "checkpoint", "by"), validate_constraints=False)
    check.save()


def _write_readings(check: Check, readings: Mapping[str, Decimal], judge: Judge) -> None:
    """Write the readings and take away those that are no longer there."""
    check.readings.exclude(measure__code__in=readings).delete()
    for code, value in readings.items():
        Reading.objects.update_or_create(
            check_made=check, measure=judge.measures[code], defaults={"value": value}
        )


def _keep_sizes(bike: Bike, readings: Mapping[str, Decimal], judge: Judge) -> None:
    """Keep with the bike what was read of its sizes; the newest reading holds."""
    read = [(judge.measures[code], value) for code, value in readings.items()]
    sizes = {measure.fills: value for measure, value in read if measure.fills}
    if not sizes:
        return
    try:
        measure_bike(bike, sizes)
    except ValidationError as error:
        wrong = next((measure for measure, _ in read if measure.fills in error.message_dict), None)
        raise EntryError(" ".join(error.messages), wrong.code if wrong else None) from error


def _write_findings(check: Check, found: Sequence[Resolved], by: User) -> None:
    """Write the findings in place, so that a quote that names one keeps naming it."""
    gone = check.findings.exclude(fault__in=[each.judged.fault for each in found])
    try:
        gone.delete()
    except ProtectedError as error:
        first = gone.select_related("fault").first()
        raise EntryError(
            f"“{first.fault if first else 'A finding'}” already stands on a quote and stays on "
            "record. Instead of taking it away, judge it “sound” and give the reason.",
            "faults",
        ) from error
    for each in found:
        Finding.objects.update_or_create(
            check_made=check,
            fault=each.judged.fault,
            defaults={
                "judgement": each.judgement.value,
                "rule": each.judged.rule,
                "rule_judgement": each.judged.judgement.value,
                "override_reason": each.reason,
                "deal_breaker": each.deal_breaker,
            },
            create_defaults={
                "judgement": each.judgement.value,
                "rule": each.judged.rule,
                "rule_judgement": each.judged.judgement.value,
                "override_reason": each.reason,
                "deal_breaker": each.deal_breaker,
                "by": by,
            },
        )
