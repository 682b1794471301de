"""Who is at the bench when, which days are closed, how promises are made, and those given."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from workshop.core.spread import LEAST_SHARE, MOST_SHARE
from workshop.jobcards.models import JobCard

SHARE: dict[str, Any] = {"max_digits": 4, "decimal_places": 3}
LEAST, MOST = Decimal(str(LEAST_SHARE)), Decimal(str(MOST_SHARE))
NO_SHARE, WHOLE_SHARE = Decimal(0), Decimal(1)
DAY_MINUTES = 24 * 60
HOUR = 60
LONGEST_CHECK = 240
LONGEST_ANSWER = 60
PERSON: dict[str, Any] = {"on_delete": models.PROTECT, "related_name": "+"}


class Weekday(models.IntegerChoices):
    """A day of the week, as the calendar counts."""

    MONDAY = 0, "Monday"
    TUESDAY = 1, "Tuesday"
    WEDNESDAY = 2, "Wednesday"
    THURSDAY = 3, "Thursday"
    FRIDAY = 4, "Friday"
    SATURDAY = 5, "Saturday"
    SUNDAY = 6, "Sunday"


class BenchSettings(models.Model):
    """How the shop promises.

    ``share`` is the fraction of promises that should be kept. ``check_minutes`` are what the
    release check with its road test takes; ``answer_days`` are the days on which somebody works
    after which a customer has usually answered. ``subdivision`` is the part of the country whose
    public holidays are kept, by its ISO 3166-2 code.
    """

    share = models.DecimalField(
        "promises to be kept",
        default=Decimal("0.8"),
        validators=[MinValueValidator(LEAST), MaxValueValidator(MOST)],
        **SHARE,
    )
    check_minutes = models.PositiveSmallIntegerField(
        "release check (minutes)",
        default=15,  # common practice, no source
        validators=[MaxValueValidator(LONGEST_CHECK)],
    )
    answer_days = models.PositiveSmallIntegerField(
        "a customer answers within (days)",
        default=2,  # common practice, no source
        validators=[MaxValueValidator(LONGEST_ANSWER)],
    )
    keeps_holidays = models.BooleanField("closed on public holidays", default=True)
    subdivision = models.CharField("part of the country", max_length=40, blank=True)
    history = HistoricalRecords()

    class Meta:
        """One row only, within bounds."""

        constraints = (
            models.CheckConstraint(condition=Q(pk=1), name="one_bench_settings"),
            models.CheckConstraint(
                condition=Q(
                    share__gte=LEAST,
                    share__lte=MOST,
                    check_minutes__lte=LONGEST_CHECK,
                    answer_days__lte=LONGEST_ANSWER,
                ),
                name="bench_settings_within_bounds",
            ),
        )

    def __str__(self) -> str:
        """Return the share in per cent."""
        return f"promises kept in {self.share:.0%}"


class BenchPerson(models.Model):
    """Somebody who works at the bench.

    ``bench_share`` is the fraction of their working time that goes into job cards.
    """

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="at_bench"
    )
    bench_share = models.DecimalField(
        "share of the time at the bench",
        default=Decimal("0.7"),  # common practice, no source
        validators=[MinValueValidator(NO_SHARE), MaxValueValidator(WHOLE_SHARE)],
        **SHARE,
    )
    history = HistoricalRecords()

    class Meta:
        """By name, and the limits that the database holds."""

        ordering = ("user__username",)
        constraints = (
            models.CheckConstraint(
                condition=Q(bench_share__gte=0, bench_share__lte=1),
                name="bench_share_is_a_fraction",
            ),
        )

    def __str__(self) -> str:
        """Return the person's name."""
        return str(self.user)


class WorkingHours(models.Model):
    """A person's hours on a weekday, in minutes after midnight; ``pause`` in minutes."""

    person = models.ForeignKey(BenchPerson, on_delete=models.CASCADE, related_name="hours")
    weekday = models.PositiveSmallIntegerField("weekday", choices=Weekday.choices)
    starts = models.PositiveSmallIntegerField("from")
    ends = models.PositiveSmallIntegerField("to")
    pause = models.PositiveSmallIntegerField("pause (minutes)", default=0)
    history = HistoricalRecords()

    class Meta:
        """In the order of the week; one row a day."""

        ordering = ("person", "weekday")
        constraints = (
            models.UniqueConstraint(fields=("person", "weekday"), name="one_row_of_hours_a_day"),
            models.CheckConstraint(
                condition=Q(
                    ends__gt=F("starts") + F("pause"), ends__lt=DAY_MINUTES, weekday__lte=6
                ),
                name="hours_end_after_they_start",
            ),
        )

    def __str__(self) -> str:
        """Return the day and the hours: “Monday 9:00–17:30”."""
        return f"{self.get_weekday_display()} {clock(self.starts)}–{clock(self.ends)}"


class Absence(models.Model):
    """Days on which a person is not there, the first and the last included."""

    person = models.ForeignKey(BenchPerson, on_delete=models.CASCADE, related_name="absences")
    first = models.DateField("from")
    last = models.DateField("to, that day included")
    reason = models.CharField("reason", max_length=80, blank=True)
    history = HistoricalRecords()

    class Meta:
        """As they come."""

        ordering = ("first", "pk")
        constraints = (
            models.CheckConstraint(condition=Q(last__gte=F("first")), name="absence_goes_forward"),
        )

    def __str__(self) -> str:
        """Return who is away, and when."""
        return f"{self.person} away {self.first:%d.%m.%Y}–{self.last:%d.%m.%Y}"


class SpecialDay(models.Model):
    """Days on which the shop is closed, or works although they are public holidays."""

    first = models.DateField("from")
    last = models.DateField("to, that day included")
    is_open = models.BooleanField("open although it is a public holiday", default=False)
    reason = models.CharField("reason", max_length=80)
    history = HistoricalRecords()

    class Meta:
        """As they come, and the limits that the database holds."""

        ordering = ("first", "pk")
        constraints = (
            models.CheckConstraint(
                condition=Q(last__gte=F("first")), name="special_day_goes_forward"
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="special_day_has_a_reason"),
        )

    def __str__(self) -> str:
        """Return the days and the reason."""
        return f"{self.first:%d.%m.%Y}–{self.last:%d.%m.%Y}: {self.reason}"


class GivenPromise(models.Model):
    """A day that a customer was promised: written once, beside what was reckoned then.

    ``reckoned_on`` is None where there was too little bench time; ``share`` and ``reasons``, one
    a line, are those of the reckoning.
    """

    card = models.ForeignKey(JobCard, on_delete=models.CASCADE, related_name="promises")
    promised_on = models.DateField("promised for")
    reckoned_on = models.DateField("reckoned", null=True, blank=True)
    share = models.DecimalField("in so many cases", **SHARE)
    reasons = models.TextField("reasons", max_length=2000, blank=True)
    why = models.CharField("why another day", max_length=120, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, **PERSON)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """Newest first."""

        ordering = ("-pk",)
        constraints = (
            models.CheckConstraint(
                condition=Q(share__gte=LEAST, share__lte=MOST), name="promise_share_within_bounds"
            ),
        )

    def __str__(self) -> str:
        """Return what was promised for when."""
        return f"{self.card} for {self.promised_on:%d.%m.%Y}"


def clock(minute: int) -> str:
    """Return a minute of the day as the clock shows it: “9:05”."""
    return f"{minute // HOUR}:{minute % HOUR:02}"


def time_of(minute: int) -> dt.time:
    """Return a minute of the day as a time."""
    return dt.time(minute // HOUR, minute % HOUR)
