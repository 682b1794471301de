"""Checkpoints with their rules, and inspections with what was found, made up for tests."""

from __future__ import annotations

import io
from decimal import Decimal
from typing import Any

import factory
from django.core.files.base import ContentFile
from factory.django import DjangoModelFactory
from PIL import Image

from tests.factories.labour import RemedyFactory
from workshop.core.judgement import Judgement
from workshop.inspections.models import (
    Check,
    Checkpoint,
    Fault,
    Finding,
    Inspection,
    JudgementRule,
    Measure,
    Outcome,
    Photo,
    Reading,
    RemedyOption,
    Zone,
)


class CheckpointFactory(DjangoModelFactory[Checkpoint]):
    """A checkpoint that belongs to every bike and stands somewhere on both drawings."""

    class Meta:
        model = Checkpoint
        django_get_or_create = ("code",)

    code = factory.Sequence(lambda n: f"checkpoint-{n}")
    name = factory.LazyAttribute(lambda point: point.code.replace("-", " ").capitalize())
    zone = Zone.FRONT
    order = factory.Sequence(lambda n: n + 1)
    how_to_test = "Hold it and move it."
    what_fools = "Play next door feels the same."
    folding_x = diamond_x = factory.Sequence(lambda n: 60 + n * 37 % 500)
    folding_y = diamond_y = factory.Sequence(lambda n: 60 + n * 53 % 300)


class MeasureFactory(DjangoModelFactory[Measure]):
    """A length in mm between 0 and 50."""

    class Meta:
        model = Measure
        django_get_or_create = ("code",)

    checkpoint = factory.SubFactory(CheckpointFactory)
    code = factory.Sequence(lambda n: f"measure-{n}")
    name = "Play"
    unit = "mm"
    plausible_min = Decimal(0)
    plausible_max = Decimal(50)
    decimals = 2


class FaultFactory(DjangoModelFactory[Fault]):
    """A fault that needs work where no rule says otherwise."""

    class Meta:
        model = Fault
        django_get_or_create = ("code",)

    checkpoint = factory.SubFactory(CheckpointFactory)
    code = factory.Sequence(lambda n: f"fault-{n}")
    name = factory.LazyAttribute(lambda fault: fault.code.replace("-", " ").capitalize())
    words = factory.LazyAttribute(lambda fault: f"{fault.name}: it should be put right.")
    default_judgement = Judgement.NEEDS_WORK.value


class RemedyOptionFactory(DjangoModelFactory[RemedyOption]):
    """A remedy proposed for a fault from "watch" on."""

    class Meta:
        model = RemedyOption

    fault = factory.SubFactory(FaultFactory)
    remedy = factory.SubFactory(RemedyFactory)


class JudgementRuleFactory(DjangoModelFactory[JudgementRule]):
    """A rule about a fault seen; give ``measure`` and a range for one about a reading."""

    class Meta:
        model = JudgementRule

    fault = factory.SubFactory(FaultFactory)
    checkpoint = factory.LazyAttribute(
        lambda rule: rule.measure.checkpoint if rule.measure else rule.fault.checkpoint
    )
    measure: Any = None
    key = factory.Sequence(lambda n: f"rule-{n}")
    judgement = Judgement.NEEDS_WORK.value
    source = "common practice, no source"


class InspectionFactory(DjangoModelFactory[Inspection]):
    """An open inspection."""

    class Meta:
        model = Inspection

    bike = factory.SubFactory("tests.factories.bikes.BikeFactory")
    started_by = factory.SubFactory("tests.factories.people.UserFactory")


class CheckFactory(DjangoModelFactory[Check]):
    """A checkpoint found sound."""

    class Meta:
        model = Check

    inspection = factory.SubFactory(InspectionFactory)
    checkpoint = factory.SubFactory(CheckpointFactory)
    outcome = Outcome.SOUND
    by = factory.SelfAttribute("inspection.started_by")


class ReadingFactory(DjangoModelFactory[Reading]):
    """A reading at a check."""

    class Meta:
        model = Reading

    check_made = factory.SubFactory(CheckFactory)
    measure = factory.SubFactory(
        MeasureFactory, checkpoint=factory.SelfAttribute("..check_made.checkpoint")
    )
    value = Decimal("0.10")


class FindingFactory(DjangoModelFactory[Finding]):
    """A finding judged as its fault is by default.

    Give ``fault`` and ``check_made__inspection``: the check is made at the fault's checkpoint.
    """

    class Meta:
        model = Finding

    fault = factory.SubFactory(FaultFactory)
    check_made = factory.SubFactory(
        CheckFactory,
        checkpoint=factory.SelfAttribute("..fault.checkpoint"),
        outcome=Outcome.FINDINGS,
    )
    judgement = factory.SelfAttribute("fault.default_judgement")
    rule_judgement = factory.SelfAttribute("judgement")
    deal_breaker = factory.SelfAttribute("fault.deal_breaker")
    by = factory.SelfAttribute("check_made.by")


class PhotoFactory(DjangoModelFactory[Photo]):
    """A small grey photo."""

    class Meta:
        model = Photo

    check_made = factory.SubFactory(CheckFactory)
    image = factory.LazyFunction(lambda: ContentFile(jpeg(), name="grey.jpg"))
    by = factory.SelfAttribute("check_made.by")


def jpeg(width: int = 64, height: int = 48, **options: Any) -> bytes:
    """Return a grey JPEG of the given size in pixels; ``options`` go to Pillow (exif …)."""
    file = io.BytesIO()
    Image.new("RGB", (width, height), "#807a6c").save(file, "JPEG", **options)
    return file.getvalue()
