"""A job card with its tasks, parts, times and readings; extra work; the release check."""

from workshop.jobcards.models.cards import CardEvent, Declined, JobCard
from workshop.jobcards.models.extra import ExtraState, ExtraWork
from workshop.jobcards.models.release import ReleaseCheck, ReleaseItem
from workshop.jobcards.models.sheets import KeptSheetError, ReleaseSheet
from workshop.jobcards.models.tasks import (
    AfterReading,
    Drawn,
    Task,
    TaskKind,
    TaskPart,
    TaskState,
    TimeSpan,
)

__all__ = [
    "AfterReading",
    "CardEvent",
    "Declined",
    "Drawn",
    "ExtraState",
    "ExtraWork",
    "JobCard",
    "KeptSheetError",
    "ReleaseCheck",
    "ReleaseItem",
    "ReleaseSheet",
    "Task",
    "TaskKind",
    "TaskPart",
    "TaskState",
    "TimeSpan",
]
