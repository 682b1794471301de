"""What a catalogue holds: one declaration for each kind of row, in the order they depend."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from django.db import models

from inventory.parts.models import Part
from workshop.bikes.models import Brake, Frame, Gears, Use
from workshop.inspections.models import Checkpoint, Fault, JudgementRule, Measure, RemedyOption
from workshop.labour.models import (
    AccessStep,
    LabourRate,
    Operation,
    Remedy,
    RemedyOperation,
    RemedyPart,
    SkillBand,
)
from workshop.shop.models import VatRate


def manager_of(model: type[models.Model]) -> models.Manager[Any]:
    """Return the manager of a model that is known only at run time."""
    return model._default_manager  # noqa: SLF001 - Django documents it for this


ALLOWED: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "frames": tuple(Frame.values),
        "brakes": tuple(Brake.values),
        "gears": tuple(Gears.values),
        "uses": tuple(Use.values),
        "equipment": ("has_rack", "has_mudguards", "has_lights"),
    }
)
"""What may stand in a list of conditions."""


@dataclass(frozen=True, slots=True)
class Links:
    """Rows of a joining table that belong to an entry; a bare code stands for ``main``."""

    model: type[models.Model]
    parent: str
    refs: Mapping[str, str]
    main: str
    plain: tuple[str, ...] = ()

    @property
    def columns(self) -> tuple[str, ...]:
        """Return the fields that tell two links apart."""
        return (*self.refs, *self.plain)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of row: its table, what identifies it, its fields, what it points to."""

    model: type[models.Model]
    plain: tuple[str, ...]
    key: tuple[str, ...] = ("code",)
    refs: Mapping[str, str] = field(default_factory=dict)
    links: Mapping[str, Links] = field(default_factory=dict)
    versioned: bool = False

    @property
    def label(self) -> str:
        """Return the kind's name as people know it."""
        return str(self.model._meta.verbose_name)

    @property
    def plural(self) -> str:
        """Return the name of several of the kind."""
        return str(self.model._meta.verbose_name_plural)


BAND = MappingProxyType({"band": "band"})
CHECKPOINT = MappingProxyType({"checkpoint": "checkpoint"})

_kinds: dict[str, Kind] = {
    "band": Kind(SkillBand, ("code", "name")),
    "rate": Kind(
        LabourRate,
        ("charged_net", "cost_net", "valid_from"),
        key=("band", "valid_from"),
        refs=BAND,
    ),
    "vat_rate": Kind(VatRate, ("code", "rate", "valid_from", "source"), key=("code", "valid_from")),
    "part": Kind(
        Part,
        (
            *("code", "name", "unit", "cost_low_net", "cost_net", "cost_high_net"),
            *("price_net", "vat_code", "safety_critical", "note"),
        ),
    ),
    "access_step": Kind(
        AccessStep,
        ("code", "name", "minutes"),
        refs=BAND,
        links={
            "needs": Links(
                AccessStep.needs.through,
                "from_accessstep",
                {"to_accessstep": "access_step"},
                "to_accessstep",
            )
        },
    ),
    "operation": Kind(
        Operation,
        (
            *("code", "name", "minutes_low", "minutes", "minutes_high"),
            *("torque_low_nm", "torque_high_nm", "torque_source", "caution"),
        ),
        refs=BAND,
        links={
            "access": Links(
                Operation.access.through,
                "operation",
                {"accessstep": "access_step"},
                "accessstep",
            ),
            "covers": Links(
                Operation.covers.through,
                "from_operation",
                {"to_operation": "operation"},
                "to_operation",
            ),
        },
    ),
    "remedy": Kind(
        Remedy,
        ("code", "name", "kind", "words", "frames", "brakes", "gears"),
        links={
            "operations": Links(
                RemedyOperation,
                "remedy",
                {"operation": "operation"},
                "operation",
                ("quantity", "order"),
            ),
            "parts": Links(
                RemedyPart,
                "remedy",
                {"part": "part", "operation": "operation"},
                "part",
                ("quantity",),
            ),
        },
    ),
    "checkpoint": Kind(
        Checkpoint,
        (
            *("code", "name", "zone", "order"),
            *("how_to_test", "what_fools", "how_to_isolate", "caution"),
            *("frames", "brakes", "gears", "equipment"),
            *("folding_x", "folding_y", "diamond_x", "diamond_y"),
        ),
    ),
    "measure": Kind(
        Measure,
        (
            *("code", "name", "unit", "plausible_min", "plausible_max"),
            *("decimals", "gauge", "help", "order", "fills"),
        ),
        refs=CHECKPOINT,
    ),
    "fault": Kind(
        Fault,
        (
            *("code", "name", "words", "default_judgement"),
            *("deal_breaker", "importance", "order"),
        ),
        refs=CHECKPOINT,
        links={
            "remedies": Links(
                RemedyOption,
                "fault",
                {"remedy": "remedy"},
                "remedy",
                ("rank", "from_judgement"),
            )
        },
    ),
    "rule": Kind(
        JudgementRule,
        (
            *("key", "at_least", "below", "age_from", "age_below"),
            *("uses", "frames", "brakes", "gears"),
            *("judgement", "deal_breaker", "source"),
        ),
        key=("key",),
        refs={**CHECKPOINT, "measure": "measure", "minus": "measure", "fault": "fault"},
        versioned=True,
    ),
}
KINDS: Mapping[str, Kind] = MappingProxyType(_kinds)
"""The kinds by the name of their tables in the files; each points only to kinds before it."""

NESTED = frozenset({"measure", "fault", "rule"})
"""Kinds that stand within a checkpoint; the others stand by themselves in a file."""


def add_kind(name: str, kind: Kind) -> None:
    """Add a kind that another room keeps in the catalogue; called when the site starts."""
    _kinds[name] = kind
