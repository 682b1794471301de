"""Judgement rules in the catalogue: never edited, each change makes a new version."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.formats import date_format

from inventory.history import Change, Entry, changes, related_names, writer
from workshop.catalogue.forms import (
    CatalogueForm,
    Figures,
    brakes_field,
    frames_field,
    free_code,
    gears_field,
    grouped,
    share_choices,
    uses_field,
)
from workshop.catalogue.registry import Column, Group, Kind, Shape
from workshop.catalogue.verbs.supersede_rule import put_in_force, retire_rule, supersede_rule
from workshop.core.judgement import Judgement
from workshop.inspections.models import Fault, JudgementRule, Measure
from workshop.shop.models import Shop

RANGE = ("minus", "at_least", "below")


class JudgementRuleForm(CatalogueForm):
    """When a reading or a fault is judged how."""

    uses = uses_field()
    frames = frames_field()
    brakes = brakes_field()
    gears = gears_field()

    class Meta(Figures):
        model = JudgementRule
        fields = (
            "checkpoint",
            "measure",
            "minus",
            "at_least",
            "below",
            "fault",
            "judgement",
            "deal_breaker",
            "age_from",
            "age_below",
            "uses",
            "frames",
            "brakes",
            "gears",
            "source",
        )
        widgets = {"judgement": forms.RadioSelect}
        labels = {"measure": "Reading", "minus": "Less the reading", "fault": "Fault"}
        help_texts = {
            "measure": "Empty: the rule judges the fault wherever it is seen.",
            "minus": "Where the difference of two readings counts.",
            "at_least": "This value and above, in the reading's unit.",
            "below": "Up to, but not with, this value.",
            "fault": "What is found; needed unless the judgement is “sound”.",
            "age_from": "A bike of unknown age matches every age.",
            "source": "Where the figure comes from, or “common practice, no source”.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Group what is to choose by checkpoint, read once."""
        super().__init__(*args, **kwargs)
        measures = grouped(Measure.objects.select_related("checkpoint"), "checkpoint")
        faults = grouped(Fault.objects.select_related("checkpoint"), "checkpoint")
        for name, choices in (("measure", measures), ("minus", measures), ("fault", faults)):
            share_choices(self, name, choices)

    def clean(self) -> dict[str, Any]:
        """Check that the rule can hold for something."""
        data = super().clean()
        self.check_what(data)
        self.check_places(data)
        self.rising("at_least", "below")
        self.rising("age_from", "age_below")
        if self.instance._state.adding and data.get("checkpoint"):  # noqa: SLF001
            self.instance.key = new_key(data)
        return data

    def check_what(self, data: dict[str, Any]) -> None:
        """See that there is something to judge, and a name for what is found."""
        measure, fault = data.get("measure"), data.get("fault")
        if not measure and not fault:
            self.add_error("measure", "Choose a reading, a fault, or both.")
        elif not measure and any(data.get(name) is not None for name in RANGE):
            self.add_error("measure", "A range needs a reading. Choose one, or empty the range.")
        elif measure and data.get("at_least") is None and data.get("below") is None:
            self.add_error("at_least", "Say from which value, or below which, the rule holds.")
        if not fault and data.get("judgement") not in {None, "", Judgement.SOUND.value}:
            self.add_error("fault", "Say what is found, so that it can be put right.")
        if data.get("deal_breaker") and data.get("judgement") == Judgement.SOUND.value:
            self.add_error("deal_breaker", "What is sound is no deal-breaker. Untick one.")

    def check_places(self, data: dict[str, Any]) -> None:
        """See that reading and fault belong to the checkpoint, and that units agree."""
        checkpoint, measure, minus = (data.get(name) for name in ("checkpoint", "measure", "minus"))
        for name in ("measure", "minus", "fault"):
            chosen = data.get(name)
            if checkpoint and chosen and chosen.checkpoint_id != checkpoint.pk:
                self.add_error(name, f"“{chosen}” is not at “{checkpoint}”. Choose one that is.")
        if measure and minus and measure.unit != minus.unit:
            self.add_error("minus", f"{measure} and {minus} differ in unit. Choose one like it.")

    def rising(self, low: str, high: str) -> None:
        """See that a range does not end where it begins."""
        begin, end = self.cleaned_data.get(low), self.cleaned_data.get(high)
        if begin is not None and end is not None and begin >= end:
            self.add_error(high, f"This must be more than {begin}, or the rule never holds.")


def new_key(data: dict[str, Any]) -> str:
    """Return a key that no rule has, made of what the rule judges."""
    judged = data.get("fault") or data.get("measure")
    words = f"{judged.code if judged else data['checkpoint'].code} {data.get('judgement') or ''}"
    return free_code(JudgementRule, words, field="key")


def save(form: JudgementRuleForm, _formsets: Any) -> JudgementRule:  # noqa: ANN401 - has none
    """Put a new rule, or a new version of one, in force."""
    fields = {name: form.cleaned_data[name] for name in form.fields}
    if form.instance.pk is None:
        return put_in_force(JudgementRule(key=form.instance.key, **fields))
    return supersede_rule(JudgementRule.objects.get(pk=form.instance.pk), **fields)


def closed(rule: JudgementRule, _today: dt.date) -> str:
    """Answer why a rule may not be changed: a later version is in force, or none."""
    if rule.superseded_at is None:
        return ""
    return (
        f"This version held until {date_format(rule.superseded_at)}. It is kept for what was "
        "judged by it; open the one in force from the list."
    )


def history(rule: JudgementRule, shop: Shop, _hide: Any) -> tuple[Entry, ...]:  # noqa: ANN401 - none
    """Return the versions of a rule, newest first, each with what it changed."""
    versions = list(JudgementRule.objects.filter(key=rule.key).order_by("-version"))
    saved = JudgementRule.history.filter(key=rule.key).select_related("history_user")
    first = {row.id: row for row in saved.order_by("-history_date", "-history_id")}
    return tuple(entries(versions, first, shop))


def entries(versions: list[JudgementRule], saved: dict[int, Any], shop: Shop) -> Iterator[Entry]:
    """Yield an entry a version, and one where the rule ended without a next version."""
    fields = [
        each
        for each in JudgementRule._meta.fields
        if each.name not in {"id", "version", "superseded_at", "key"}
    ]
    names = related_names(versions, fields)
    newest = versions[0]
    if newest.superseded_at is not None:
        yield Entry(newest.superseded_at, "", f"version {newest.version} ended")
    for new, old in [*pairwise(versions), (versions[-1], None)]:
        row = saved.get(new.pk)
        changed: tuple[Change, ...] = ()
        if old is not None:
            changed = tuple(changes(new, old, fields, names, shop))
        if row is not None:
            yield Entry(row.history_date, writer(row), f"version {new.version}", changed)


def rows() -> QuerySet[JudgementRule]:
    """Return the rules in force, in the order of the walk."""
    related = ("checkpoint", "measure", "fault")
    return JudgementRule.objects.filter(superseded_at__isnull=True).select_related(*related)


KIND = Kind(
    slug="judgement-rules",
    one="judgement rule",
    many="Judgement rules",
    group=Group.WALK,
    order=30,
    how=(
        "When a reading or a fault is judged how, by age and kind of bike. Saving a change makes "
        "a new version: inspections already made keep the judgement they were given."
    ),
    model=JudgementRule,
    rows=rows,
    form=JudgementRuleForm,
    columns=(
        Column("key", "Rule"),
        Column("checkpoint__name", "Checkpoint"),
        Column("measure__name", "Reading"),
        Column("at_least", "From", Shape.NUMBER),
        Column("below", "Below", Shape.NUMBER),
        Column("age_from", "Age from", Shape.NUMBER),
        Column("age_below", "Age below", Shape.NUMBER),
        Column("fault__name", "Fault"),
        Column("judgement", "Judgement", Shape.JUDGEMENT),
        Column("version", "Version", Shape.NUMBER),
    ),
    search=("key", "checkpoint__name", "measure__name", "fault__name", "source"),
    narrow=("checkpoint", "judgement", "deal_breaker"),
    save=save,
    closed=closed,
    history=history,
    retire=retire_rule,
)
