"""Turns rows of the catalogue and a bike into what the core judges by."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone

from workshop.bikes.models import Bike
from workshop.core.judgement import Judgement
from workshop.core.wear import BikeFacts, Rule
from workshop.inspections.models import Checkpoint, Inspection, JudgementRule


def facts_of(bike: Bike, on: dt.date, zone: str = "") -> BikeFacts:
    """Return what the rules ask of a bike: its age in whole years on a day, its use, its build.

    The brakes are those at that part of the walk.
    """
    return BikeFacts(
        age_years=bike.age_years(on),
        use=bike.use,
        frame=bike.frame,
        brakes=bike.brakes_at(zone),
        gears=bike.gears,
    )


def facts_for(inspection: Inspection, point: Checkpoint) -> BikeFacts:
    """Return the bike's facts at a checkpoint, on the day the inspection was started.

    The day is the shop's, so that a walk over midnight of New Year does not age the bike.
    """
    day = timezone.localtime(inspection.started_at).date()
    return facts_of(inspection.bike, day, point.zone)


def core_rule(row: JudgementRule) -> Rule:
    """Return a rule as the core knows it; measure, minus and fault should be fetched before."""
    return Rule(
        key=row.key,
        version=row.version,
        measure=row.measure.code if row.measure else None,
        minus=row.minus.code if row.minus else None,
        fault=row.fault.code if row.fault else None,
        at_least=row.at_least,
        below=row.below,
        age_from=row.age_from,
        age_below=row.age_below,
        uses=tuple(row.uses),
        frames=tuple(row.frames),
        brakes=tuple(row.brakes),
        gears=tuple(row.gears),
        judgement=Judgement(row.judgement),
        deal_breaker=row.deal_breaker,
        source=row.source,
    )


def core_rules(checkpoint: Checkpoint) -> dict[Rule, JudgementRule]:
    """Return the rules in force at a checkpoint, each with the row it was made of."""
    return {core_rule(row): row for row in checkpoint.rules.all()}


def asks_for_age(checkpoint: Checkpoint) -> bool:
    """Tell whether a rule at the checkpoint depends on the bike's age."""
    return any(
        row.age_from is not None or row.age_below is not None for row in checkpoint.rules.all()
    )
