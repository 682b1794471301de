"""The tasks of a job card, with their parts, times and readings after the repair."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from inventory.parts.models import Part
from inventory.stock.models import QUANTITY, Reservation, StockMovement
from workshop.core.judgement import Judgement
from workshop.inspections.models import Finding, JudgementRule, Measure
from workshop.inspections.models.asked import JUDGEMENTS
from workshop.jobcards.models.cards import PERSON, JobCard
from workshop.labour.models import AccessStep, Operation

MINUTES: dict[str, Any] = {"max_digits": 7, "decimal_places": 2}
TORQUE: dict[str, Any] = {"max_digits": 5, "decimal_places": 1}
ZERO = Decimal(0)


class TaskKind(models.TextChoices):
    """What a task is: getting at something, the work itself, putting it together again."""

    OPEN = "open", "open up"
    WORK = "work", "do"
    CLOSE = "close", "close again"


class TaskState(models.TextChoices):
    """Where a task stands; what is dropped is no longer wanted and stays to be seen."""

    TO_DO = "to_do", "to do"
    DONE = "done", "done"
    STOPPED = "stopped", "stopped"
    DROPPED = "dropped", "not wanted"


class Task(models.Model):
    """One row of a job card. ``minutes`` is the standard time as it was quoted.

    Torques are in N·m: ``torque_…`` are ours, copied from the operation; ``maker_…`` are the
    maker's, entered at the bench, and go before. ``version`` counts the changes: who ticks on
    top of an older one is told what happened since.
    """

    card = models.ForeignKey(JobCard, on_delete=models.CASCADE, related_name="tasks")
    position = models.PositiveSmallIntegerField("order")
    kind = models.CharField("kind", max_length=5, choices=TaskKind.choices)
    code = models.CharField(max_length=140)
    name = models.CharField("task", max_length=200)
    operation = models.ForeignKey(
        Operation, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    step = models.ForeignKey(
        AccessStep, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    findings = models.ManyToManyField(Finding, blank=True, related_name="tasks")
    minutes = models.DecimalField("standard time, minutes", default=ZERO, **MINUTES)
    torque_low_nm = models.DecimalField("torque from, N·m", null=True, blank=True, **TORQUE)
    torque_high_nm = models.DecimalField("torque to, N·m", null=True, blank=True, **TORQUE)
    torque_source = models.CharField("source of the torque", max_length=200, blank=True)
    maker_low_nm = models.DecimalField("maker's torque from, N·m", null=True, blank=True, **TORQUE)
    maker_high_nm = models.DecimalField("maker's torque to, N·m", null=True, blank=True, **TORQUE)
    maker_source = models.CharField("where the maker says so", max_length=200, blank=True)
    caution = models.CharField("caution", max_length=300, blank=True)
    state = models.CharField(
        "state", max_length=8, choices=TaskState.choices, default=TaskState.TO_DO
    )
    extra = models.ForeignKey(
        "jobcards.ExtraWork", on_delete=models.SET_NULL, null=True, blank=True, related_name="stops"
    )
    revision_number = models.PositiveSmallIntegerField("came with revision")
    done_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, **PERSON)
    done_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        """In the order of the work, and the limits that the database holds."""

        ordering = ("card_id", "position", "pk")
        constraints = (
            models.UniqueConstraint(
                fields=("card", "code"), condition=Q(kind="work"), name="one_task_an_operation"
            ),
            models.CheckConstraint(
                condition=Q(state="done", done_by__isnull=False, done_at__isnull=False)
                | (~Q(state="done") & Q(done_by__isnull=True, done_at__isnull=True)),
                name="task_done_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(state="stopped", extra__isnull=False)
                | (~Q(state="stopped") & Q(extra__isnull=True)),
                name="task_stopped_by_extra_work",
            ),
            models.CheckConstraint(condition=Q(minutes__gte=0), name="task_minutes_not_negative"),
        )

    def __str__(self) -> str:
        """Return what is to be done."""
        return self.name

    @property
    def is_done(self) -> bool:
        """Tell whether it is ticked."""
        return self.state == TaskState.DONE

    @property
    def figure(self) -> tuple[Decimal | None, Decimal | None]:
        """Return the torque to reach in N·m, from and to: the maker's before ours."""
        maker = (self.maker_low_nm, self.maker_high_nm)
        return maker if any(each is not None for each in maker) else self.ours

    @property
    def ours(self) -> tuple[Decimal | None, Decimal | None]:
        """Return our own torque figure in N·m, from and to."""
        return self.torque_low_nm, self.torque_high_nm

    @property
    def has_torque(self) -> bool:
        """Tell whether a torque is to be reached."""
        return any(each is not None for each in self.figure)


class TaskPart(models.Model):
    """A part that a task fits: how many are wanted, drawn and given back, in the part's unit."""

    task = models.ForeignKey(Task, on_delete=models.CASCADE, related_name="parts")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    wanted = models.DecimalField("wanted", **QUANTITY)
    drawn = models.DecimalField("drawn", default=ZERO, **QUANTITY)
    returned = models.DecimalField("given back", default=ZERO, **QUANTITY)
    reservation = models.ForeignKey(
        Reservation, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        """In the order of their names, and the limits that the database holds."""

        ordering = ("task_id", "part__name", "pk")
        constraints = (
            models.UniqueConstraint(fields=("task", "part"), name="one_row_a_part_and_task"),
            models.CheckConstraint(
                condition=Q(wanted__gte=0, returned__gte=0, returned__lte=F("drawn")),
                name="task_part_quantities",
            ),
        )

    def __str__(self) -> str:
        """Return the part's name."""
        return self.part.name

    @property
    def reserved(self) -> Decimal:
        """Return how many are still set aside for it."""
        return self.reservation.left if self.reservation else ZERO

    @property
    def out(self) -> Decimal:
        """Return how many are drawn and not given back."""
        return self.drawn - self.returned

    @property
    def may_draw(self) -> Decimal:
        """Return how many more may be drawn."""
        return max(ZERO, self.wanted - self.out)

    @property
    def to_draw(self) -> Decimal:
        """Return how many are still waited for; what was given back is not."""
        return max(ZERO, self.wanted - self.drawn)

    @property
    def short(self) -> Decimal:
        """Return how many are neither drawn nor set aside."""
        return max(ZERO, self.to_draw - self.reserved)


class Drawn(models.Model):
    """A draw from stock for a task; safety-critical parts carry their serial or batch number.

    ``fit_reason`` says why a part was taken that surely did not fit by what was known then.
    """

    row = models.ForeignKey(TaskPart, on_delete=models.CASCADE, related_name="draws")
    movement = models.OneToOneField(StockMovement, on_delete=models.PROTECT, related_name="+")
    quantity = models.DecimalField("drawn", **QUANTITY)
    returned = models.DecimalField("given back", default=ZERO, **QUANTITY)
    serial = models.CharField("serial or batch number", max_length=80, blank=True)
    fit_reason = models.CharField("why it was taken all the same", max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, **PERSON)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """In the order in which they were drawn."""

        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(
                condition=Q(quantity__gt=0, returned__gte=0, returned__lte=F("quantity")),
                name="drawn_returned_within_quantity",
            ),
        )

    def __str__(self) -> str:
        """Return how many of what."""
        return f"{self.quantity.normalize():f} × {self.row}"


class TimeSpan(models.Model):
    """Time that a person spent on a task; open while the work goes on."""

    task = models.ForeignKey(Task, on_delete=models.CASCADE, related_name="spans")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, **PERSON)
    started_at = models.DateTimeField()
    stopped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        """In order of time; nobody works on two things at once."""

        ordering = ("started_at", "pk")
        constraints = (
            models.UniqueConstraint(
                fields=("person",), condition=Q(stopped_at__isnull=True), name="one_task_at_a_time"
            ),
            models.CheckConstraint(
                condition=Q(stopped_at__isnull=True) | Q(stopped_at__gte=F("started_at")),
                name="time_goes_forward",
            ),
        )

    def __str__(self) -> str:
        """Return who works on what."""
        return f"{self.person}: {self.task}"


class AfterReading(models.Model):
    """A value read after the repair, in its unit, and what the rules say of it.

    Without a measure it is the torque reached, in N·m. Written once: a newer one counts.
    """

    task = models.ForeignKey(Task, on_delete=models.CASCADE, related_name="readings")
    measure = models.ForeignKey(
        Measure, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    value = models.DecimalField("value", max_digits=9, decimal_places=3)
    unit = models.CharField("unit", max_length=12)
    judgement = models.CharField("judgement", max_length=12, choices=JUDGEMENTS, blank=True)
    rule = models.ForeignKey(
        JudgementRule, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    words = models.CharField("what is said of it", max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, **PERSON)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """Newest first."""

        ordering = ("-pk",)

    def __str__(self) -> str:
        """Return the value with its unit."""
        return f"{self.value.normalize():f} {self.unit}"

    @property
    def is_torque(self) -> bool:
        """Tell whether it is the torque reached."""
        return self.measure_id is None

    @property
    def is_unsafe(self) -> bool:
        """Tell whether the bike may not go out like this."""
        return self.judgement == Judgement.UNSAFE or (
            self.is_torque and self.judgement != Judgement.SOUND
        )
