"""What the verbs of this room refuse, each with what is wrong and what to do."""

from __future__ import annotations

from django.utils import timezone

from workshop.jobcards.models import Task, TaskState


class JobCardError(Exception):
    """Raised where something can't be done with a job card; nothing is changed."""


class KeyClashError(JobCardError):
    """Raised where a key has been used for something else on the card already."""

    def __init__(self) -> None:
        super().__init__("This page is out of date. Load it anew and repeat what you did.")


class StaleTaskError(JobCardError):
    """Raised where somebody changed the task meanwhile; ``task`` is as it stands now."""

    def __init__(self, task: Task) -> None:
        self.task = task
        super().__init__(f"{task.name}: {_happened(task)}")


class TaskStandsError(JobCardError):
    """Raised where a task is stopped or no longer wanted, so that it can't be worked on."""

    def __init__(self, task: Task) -> None:
        self.task = task
        super().__init__(f"{task.name}: {_happened(task)}")


def _happened(task: Task) -> str:
    """Return what became of a task, as a sentence."""
    if task.is_done and task.done_at:
        return f"{task.done_by} has ticked it at {timezone.localtime(task.done_at):%H:%M}."
    return {
        TaskState.STOPPED: "it is stopped until the customer has answered.",
        TaskState.DROPPED: "it is no longer wanted.",
        TaskState.TO_DO: "it is to do again: somebody has taken the tick back.",
    }.get(TaskState(task.state), "it was changed meanwhile.")
