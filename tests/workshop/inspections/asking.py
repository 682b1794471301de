"""How the tests of the pages ask for them and read the answer."""

from tests.factories.inspections import (
    CheckFactory,
    CheckpointFactory,
    FaultFactory,
    FindingFactory,
    PhotoFactory,
    ReadingFactory,
)
from tests.factories.people import UserFactory
from workshop.inspections.models import Outcome

HTMX = {"HX-Request": "true"}


def at(inspection, code="", more=""):
    return f"/inspections/{inspection.pk}/{f'{code}/' if code else ''}{more}"


def found_at_random_place(inspection):
    """Add a checkpoint with two findings, a reading and a photo."""
    point = CheckpointFactory()
    check = CheckFactory(
        inspection=inspection, checkpoint=point, outcome=Outcome.FINDINGS, by=UserFactory()
    )
    for _ in range(2):
        FindingFactory(check_made=check, fault=FaultFactory(checkpoint=point))
    ReadingFactory(check_made=check, measure__checkpoint=point)
    PhotoFactory(check_made=check)


def codes(steps):
    return [step.checkpoint.code for step in steps]


def look(inspection, *points, by=None, **more):
    by = by or inspection.started_by
    return [CheckFactory(inspection=inspection, checkpoint=p, by=by, **more) for p in points]
