"""What the walk asks (checkpoints, rules) and what was found (inspections)."""

from workshop.inspections.models.asked import (
    Checkpoint,
    Fault,
    JudgementRule,
    Measure,
    RemedyOption,
    Zone,
)
from workshop.inspections.models.found import (
    Check,
    Finding,
    Inspection,
    Outcome,
    Photo,
    Reading,
)

__all__ = [
    "Check",
    "Checkpoint",
    "Fault",
    "Finding",
    "Inspection",
    "JudgementRule",
    "Measure",
    "Outcome",
    "Photo",
    "Reading",
    "RemedyOption",
    "Zone",
]
