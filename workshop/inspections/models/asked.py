"""What the walk asks: checkpoints, measures, faults, the rules that judge, the remedies."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from workshop.bikes.kinds import is_for
from workshop.bikes.models import Bike
from workshop.core.judgement import Importance, Judgement
from workshop.labour.models import Remedy

JUDGEMENTS = [(each.value, each.label) for each in Judgement]
IMPORTANCES = [(each.value, each.label) for each in Importance]


class Zone(models.TextChoices):
    """A stretch of the walk, from front to back."""

    FRONT = "front", "front wheel and brake"
    STEERING = "steering", "fork, headset and handlebar"
    FRAME = "frame", "frame and hinges"
    SEAT = "seat", "saddle and seat post"
    DRIVE = "drive", "cranks, chain and gears"
    REAR = "rear", "rear frame, wheel and brake"
    WHOLE = "whole", "whole bike and road test"


class Checkpoint(models.Model):
    """One place on the bike to examine, with how to test it and what fools the test.

    ``frames``, ``brakes``, ``gears`` and ``equipment`` say which bikes it applies to; an empty
    list means all. Equipment names fields of the bike: ``has_rack``, ``has_mudguards``,
    ``has_lights``. Drawing positions are in the drawings' units (640 × 420).
    """

    code = models.SlugField("code", max_length=60, unique=True)
    name = models.CharField("name", max_length=80)
    zone = models.CharField("part of the walk", max_length=10, choices=Zone.choices)
    order = models.PositiveSmallIntegerField("order in the walk", unique=True)
    how_to_test = models.TextField("how to test", max_length=600)
    what_fools = models.TextField("what fools the test", max_length=600)
    how_to_isolate = models.TextField("how to isolate it", max_length=600, blank=True)
    caution = models.TextField("caution", max_length=400, blank=True)
    frames = models.JSONField("frames", default=list, blank=True)
    brakes = models.JSONField("brakes", default=list, blank=True)
    gears = models.JSONField("gears", default=list, blank=True)
    equipment = models.JSONField("equipment", default=list, blank=True)
    folding_x = models.PositiveSmallIntegerField("x, folding drawing", null=True, blank=True)
    folding_y = models.PositiveSmallIntegerField("y, folding drawing", null=True, blank=True)
    diamond_x = models.PositiveSmallIntegerField("x, other drawing", null=True, blank=True)
    diamond_y = models.PositiveSmallIntegerField("y, other drawing", null=True, blank=True)
    active = models.BooleanField("in use", default=True)
    history = HistoricalRecords()

    class Meta:
        """In the order of the walk."""

        ordering = ("order",)

    def __str__(self) -> str:
        """Return the name."""
        return self.name

    def applies_to(self, bike: Bike) -> bool:
        """Tell whether this checkpoint belongs to the walk round the given bike."""
        return is_for(self, bike, self.zone) and all(getattr(bike, name) for name in self.equipment)

    def position(self, frame: str) -> tuple[int, int] | None:
        """Return the place on the drawing of that frame, or None where it is not drawn."""
        x, y = (
            (self.folding_x, self.folding_y)
            if frame == "folding"
            else (self.diamond_x, self.diamond_y)
        )
        return None if x is None or y is None else (x, y)


READ_ON_THE_WALK = (
    ("post_mm", "seat-post diameter"),
    ("shell_width_mm", "bottom-bracket shell width"),
    ("spindle_mm", "spindle length"),
    ("steerer_mm", "steerer diameter"),
    ("front_axle_mm", "front width over locknuts"),
    ("rear_axle_mm", "rear width over locknuts"),
    ("chain_mm", "chain width"),
)
"""Sizes of a bike (by their name there) that a reading in mm may give."""


class Measure(models.Model):
    """Something to be read off a gauge at a checkpoint, with the unit and what is plausible.

    One that ``fills`` a size of the bike is not judged: it tells which parts fit.
    """

    checkpoint = models.ForeignKey(Checkpoint, on_delete=models.CASCADE, related_name="measures")
    code = models.SlugField("code", max_length=60, unique=True)
    name = models.CharField("name", max_length=80)
    unit = models.CharField("unit", max_length=12, help_text="mm, bar, %, N·m, kgf …")
    plausible_min = models.DecimalField("not below", max_digits=9, decimal_places=3)
    plausible_max = models.DecimalField("not above", max_digits=9, decimal_places=3)
    decimals = models.PositiveSmallIntegerField("decimals", default=1)
    gauge = models.CharField("gauge", max_length=120, blank=True)
    help = models.CharField("how to read it", max_length=300, blank=True)
    order = models.PositiveSmallIntegerField("order", default=0)
    fills = models.CharField(
        "gives a size of the bike",
        max_length=20,
        choices=READ_ON_THE_WALK,
        blank=True,
        help_text="Then it is not judged: it tells which parts fit.",
    )
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("checkpoint__order", "order", "pk")
        constraints = (
            models.CheckConstraint(
                condition=Q(plausible_min__lt=F("plausible_max")), name="measure_range_in_order"
            ),
            models.CheckConstraint(
                condition=Q(fills="") | Q(unit="mm"),
                name="measure_of_a_size_in_mm",
                violation_error_message="Sizes of bikes are kept in mm.",
            ),
        )

    def __str__(self) -> str:
        """Return the name with its unit."""
        return f"{self.name} ({self.unit})"


class Fault(models.Model):
    """Something that can be wrong at a checkpoint.

    ``words`` is what the customer reads. ``default_judgement`` holds where no rule says
    otherwise; ``importance`` is set only where it differs from what the judgement gives.
    """

    checkpoint = models.ForeignKey(Checkpoint, on_delete=models.CASCADE, related_name="faults")
    code = models.SlugField("code", max_length=80, unique=True)
    name = models.CharField("name", max_length=80)
    words = models.CharField("in plain words", max_length=300)
    default_judgement = models.CharField(
        "judgement", max_length=12, choices=JUDGEMENTS, default=Judgement.NEEDS_WORK.value
    )
    deal_breaker = models.BooleanField("deal-breaker", default=False)
    importance = models.CharField("importance", max_length=8, choices=IMPORTANCES, blank=True)
    order = models.PositiveSmallIntegerField("order", default=0)
    active = models.BooleanField("in use", default=True)
    history = HistoricalRecords()

    class Meta:
        """In the order of the walk."""

        ordering = ("checkpoint__order", "order", "pk")

    def __str__(self) -> str:
        """Return the name."""
        return self.name


class RemedyOption(models.Model):
    """A remedy that cures a fault; the lowest ``rank`` is proposed first.

    ``from_judgement`` limits it to findings at least that bad: a trace of play is adjusted, an
    unsafe hub is renewed.
    """

    fault = models.ForeignKey(Fault, on_delete=models.CASCADE, related_name="options")
    remedy = models.ForeignKey(Remedy, on_delete=models.PROTECT, related_name="options")
    rank = models.PositiveSmallIntegerField("rank", default=1)
    from_judgement = models.CharField(
        "from judgement", max_length=12, choices=JUDGEMENTS, default=Judgement.WATCH.value
    )
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("fault_id", "rank", "pk")
        constraints = (
            models.UniqueConstraint(fields=("fault", "remedy"), name="remedy_once_a_fault"),
        )

    def __str__(self) -> str:
        """Return the remedy's name."""
        return str(self.remedy)

    def suits(self, bike: Bike) -> bool:
        """Tell whether the remedy is for such a bike, at the end where the fault lies."""
        return is_for(self.remedy, bike, self.fault.checkpoint.zone)


class JudgementRule(models.Model):
    """A row that judges a reading or an observed fault. Never edited: superseded by a new row.

    With a ``measure`` the row matches where ``at_least`` ≤ value < ``below`` (in the measure's
    unit; an open end is empty), the value being the reading less the reading of ``minus`` where
    that is named. Without a measure it matches where ``fault`` was observed. Ages are whole
    years, ``age_from`` ≤ age < ``age_below``; a bike of unknown age matches every age condition.
    Of all rows that match, the worst judgement holds.
    """

    checkpoint = models.ForeignKey(Checkpoint, on_delete=models.CASCADE, related_name="rules")
    key = models.SlugField(
        "key", max_length=80, help_text="Stays the same from version to version."
    )
    version = models.PositiveSmallIntegerField("version", default=1)
    measure = models.ForeignKey(
        Measure, on_delete=models.PROTECT, null=True, blank=True, related_name="rules"
    )
    minus = models.ForeignKey(
        Measure, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    fault = models.ForeignKey(
        Fault, on_delete=models.PROTECT, null=True, blank=True, related_name="rules"
    )
    at_least = models.DecimalField("from", max_digits=9, decimal_places=3, null=True, blank=True)
    below = models.DecimalField("below", max_digits=9, decimal_places=3, null=True, blank=True)
    age_from = models.PositiveSmallIntegerField("age from, years", null=True, blank=True)
    age_below = models.PositiveSmallIntegerField("age below, years", null=True, blank=True)
    uses = models.JSONField("use", default=list, blank=True)
    frames = models.JSONField("frames", default=list, blank=True)
    brakes = models.JSONField("brakes", default=list, blank=True)
    gears = models.JSONField("gears", default=list, blank=True)
    judgement = models.CharField("judgement", max_length=12, choices=JUDGEMENTS)
    deal_breaker = models.BooleanField("deal-breaker", default=False)
    source = models.CharField("source", max_length=200)
    superseded_at = models.DateTimeField(null=True, blank=True, editable=False)
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("checkpoint__order", "key", "-version")
        constraints = (
            models.UniqueConstraint(fields=("key", "version"), name="one_rule_a_version"),
            models.UniqueConstraint(
                fields=("key",),
                condition=Q(superseded_at__isnull=True),
                name="one_rule_in_force_a_key",
            ),
            models.CheckConstraint(
                condition=Q(measure__isnull=False) | Q(fault__isnull=False),
                name="rule_has_measure_or_fault",
            ),
            models.CheckConstraint(
                condition=Q(judgement=Judgement.SOUND.value) | Q(fault__isnull=False),
                name="rule_that_finds_names_fault",
            ),
            models.CheckConstraint(
                condition=Q(at_least__isnull=True)
                | Q(below__isnull=True)
                | Q(at_least__lt=F("below")),
                name="rule_range_in_order",
            ),
        )

    def __str__(self) -> str:
        """Return the key with its version."""
        return f"{self.key} v{self.version}"
