"""Bikes: one physical machine each."""

from __future__ import annotations

import datetime as dt

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inventory.core.fitting import Facts
from inventory.fields import MoneyField
from inventory.parts.models import BrakeKind, Dropout, ShellThread, SpindleKind, SteererKind
from workshop.bikes.sizes import SIZES, how_to
from workshop.customers.models import Customer

EARLIEST_YEAR = 1880


class Frame(models.TextChoices):
    """How the frame is built; it decides which checkpoints apply."""

    FOLDING = "folding", "folding"
    DIAMOND = "diamond", "not folding"


Brake = BrakeKind
"""What the brakes work on; a part for brakes is for one of the same kinds."""


class Gears(models.TextChoices):
    """How the bike changes gear."""

    DERAILLEUR = "derailleur", "derailleur"
    HUB = "hub", "hub gear"
    BOTH = "both", "hub gear with derailleur"
    SINGLE = "single", "single speed"


class Use(models.TextChoices):
    """How hard a life the bike has had."""

    LIGHT = "light", "light: fine days, short rides"
    EVERYDAY = "everyday", "everyday: commuting in all weathers"
    HARD = "hard", "hard: courier, hire or left outdoors"


class Purpose(models.TextChoices):
    """Why the bike is here."""

    BUY_IN = "buy_in", "offered to us"
    REPAIR = "repair", "brought for repair"


class Stage(models.TextChoices):
    """Where the bike stands on its way; set by the verbs, never by hand."""

    BOOKED_IN = "booked_in", "booked in"
    INSPECTING = "inspecting", "being inspected"
    INSPECTED = "inspected", "inspected"
    QUOTED = "quoted", "quote being drawn up"
    SENT = "sent", "quote sent"
    ACCEPTED = "accepted", "accepted"
    IN_WORK = "in_work", "in work"
    RELEASED = "released", "released"
    REFUSED = "refused", "refused"
    BOUGHT = "bought", "bought in"
    LEFT = "left", "left: not bought"
    SOLD = "sold", "sold"


def normal_frame_number(text: str) -> str:
    """Return a frame number as it is compared: upper case, letters and digits only."""
    return "".join(ch for ch in text.upper() if ch.isalnum())


class Bike(models.Model):
    """One physical machine, known by its frame number and our stock number.

    ``bead_seat_mm`` is the wheel's bead seat diameter in mm (ISO 5775). ``asking_price`` is what
    the seller asks, gross as said.
    """

    stock_no = models.CharField("stock number", max_length=12, unique=True, editable=False)
    frame_number = models.CharField("frame number", max_length=40, blank=True)
    frame_key = models.CharField(max_length=40, null=True, editable=False)  # noqa: DJ001 - unique, so absent is NULL
    frame_number_missing = models.CharField(
        "why there is no frame number", max_length=200, blank=True
    )
    make = models.CharField("make", max_length=60)
    model = models.CharField("model", max_length=80, blank=True)
    colour = models.CharField("colour", max_length=40, blank=True)
    maker_year = models.PositiveSmallIntegerField("maker's year", null=True, blank=True)
    frame = models.CharField("frame", max_length=10, choices=Frame.choices, default=Frame.FOLDING)
    brake = models.CharField("brakes", max_length=10, choices=Brake.choices, default=Brake.RIM)
    rear_brake = models.CharField(
        "brake behind, if of another kind", max_length=10, choices=Brake.choices, blank=True
    )
    gears = models.CharField(
        "gears", max_length=10, choices=Gears.choices, default=Gears.DERAILLEUR
    )
    bead_seat_mm = models.PositiveSmallIntegerField("rim size, mm", null=True, blank=True)
    use = models.CharField("use", max_length=10, choices=Use.choices, default=Use.EVERYDAY)
    has_rack = models.BooleanField("has a rack", default=False)
    has_mudguards = models.BooleanField("has mudguards", default=False)
    has_lights = models.BooleanField("has lights", default=False)
    purpose = models.CharField(
        "why it is here", max_length=10, choices=Purpose.choices, default=Purpose.BUY_IN
    )
    stage = models.CharField(
        "stage", max_length=12, choices=Stage.choices, default=Stage.BOOKED_IN, editable=False
    )
    customer = models.ForeignKey(
        Customer, on_delete=models.PROTECT, related_name="bikes", verbose_name="customer or seller"
    )
    asking_price = MoneyField("asking price", null=True, blank=True)
    note = models.TextField("note", max_length=1000, blank=True)
    photo = models.ImageField("photo", upload_to="bikes/", blank=True)
    booked_in_at = models.DateTimeField(auto_now_add=True)
    booked_in_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False
    )
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("-pk",)
        constraints = (
            models.UniqueConstraint(fields=("frame_key",), name="one_bike_a_frame_number"),
            models.CheckConstraint(
                condition=~Q(frame_number="") | ~Q(frame_number_missing=""),
                name="bike_has_frame_number_or_reason",
                violation_error_message=(
                    "Write the frame number, or why there is none (ground off, painted over …)."
                ),
            ),
            models.CheckConstraint(
                condition=Q(maker_year__isnull=True)
                | (Q(maker_year__gte=EARLIEST_YEAR) & Q(maker_year__lte=2200)),
                name="bike_year_plausible",
            ),
            models.CheckConstraint(
                condition=Q(asking_price__isnull=True) | Q(asking_price__gte=0),
                name="bike_asking_price_not_negative",
            ),
        )

    def __str__(self) -> str:
        """Return stock number, make and model."""
        return f"{self.stock_no} {self.make} {self.model}".strip()

    def save(self, *args: object, **kwargs: object) -> None:
        """Keep the compared frame number in step; name a rear brake only if it is another."""
        self.frame_key = normal_frame_number(self.frame_number) or None
        if self.rear_brake == self.brake:
            self.rear_brake = ""
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    def brakes_at(self, end: str = "") -> frozenset[str]:
        """Return the kinds of brake at the "front" or "rear" end; both ends' for anything else."""
        kinds = {"front": self.brake, "rear": self.rear_brake or self.brake}
        return frozenset({kinds[end]} if end in kinds else kinds.values())

    @property
    def brakes(self) -> str:
        """Return what the brakes work on, in words."""
        if not self.rear_brake:
            return self.get_brake_display()
        return f"{self.get_brake_display()} in front, {self.get_rear_brake_display()} behind"

    @property
    def equipment(self) -> list[str]:
        """Return what the bike carries, in words."""
        carried = ("rack", "mudguards", "lights")
        return [name for name in carried if getattr(self, f"has_{name}")]

    def age_years(self, on: dt.date) -> int | None:
        """Return the whole years since the maker's year, or None where it is not known."""
        return None if self.maker_year is None else max(0, on.year - self.maker_year)


def in_mm(label: str, name: str) -> models.DecimalField:  # type: ignore[type-arg] # as Django has it
    """Return the field of a size in mm to a hundredth, within what is plausible."""
    size = SIZES[name]
    return models.DecimalField(
        label,
        max_digits=6,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(size.least), MaxValueValidator(size.most)],
        help_text=size.how,
    )


def in_whole(label: str, name: str) -> models.PositiveSmallIntegerField:  # type: ignore[type-arg]
    """Return the field of a whole number, within what is plausible."""
    least, most = int(SIZES[name].least), int(SIZES[name].most)
    return models.PositiveSmallIntegerField(
        label,
        null=True,
        blank=True,
        validators=[MinValueValidator(least), MaxValueValidator(most)],
        help_text=SIZES[name].how,
    )


def one_of(label: str, name: str, choices: type[models.TextChoices]) -> models.CharField:  # type: ignore[type-arg]
    """Return the field of what has a name, empty where it is not known."""
    return models.CharField(
        label, max_length=12, choices=choices.choices, blank=True, help_text=how_to(name)
    )


class BikeFit(models.Model):
    """The sizes of a bike that decide which parts fit it, as far as somebody has read them.

    Its rim diameter and kind of brake stand with the bike itself; with two kinds of brake,
    which of them a part is for is not known. All in mm but ``chain_speeds``; what is meant by each
    says ``inventory.core.fitting.Facts``.
    """

    bike = models.OneToOneField(Bike, on_delete=models.CASCADE, related_name="fit")
    rim_inner_mm = in_whole("rim width inside, mm", "rim_inner_mm")
    widest_tyre_mm = in_whole("widest tyre there is room for, mm", "widest_tyre_mm")
    front_axle_mm = in_mm("front width over locknuts, mm", "front_axle_mm")
    front_dropout = one_of("front dropout", "front_dropout", Dropout)
    rear_axle_mm = in_mm("rear width over locknuts, mm", "rear_axle_mm")
    rear_dropout = one_of("rear dropout", "rear_dropout", Dropout)
    pad_shape = models.CharField(
        "brake pad shape", max_length=40, blank=True, help_text=how_to("pad_shape")
    )
    steerer_mm = in_mm("steerer diameter, mm", "steerer_mm")
    steerer_kind = one_of("steerer", "steerer_kind", SteererKind)
    shell_width_mm = in_mm("bottom-bracket shell width, mm", "shell_width_mm")
    shell_thread = one_of("bottom-bracket thread", "shell_thread", ShellThread)
    spindle_kind = one_of("spindle", "spindle_kind", SpindleKind)
    spindle_mm = in_mm("spindle length, mm", "spindle_mm")
    chain_speeds = in_whole("number of sprockets", "chain_speeds")
    chain_mm = in_mm("chain width, mm", "chain_mm")
    post_mm = in_mm("seat-post diameter, mm", "post_mm")
    history = HistoricalRecords()

    class Meta:
        """The limits that the database holds."""

        verbose_name = "sizes of a bike"
        verbose_name_plural = "sizes of bikes"
        constraints = tuple(
            models.CheckConstraint(
                condition=Q(**{f"{name}__isnull": True})
                | Q(**{f"{name}__gte": size.least, f"{name}__lte": size.most}),
                name=f"bike_{name}_plausible",
            )
            for name, size in SIZES.items()
        )

    def __str__(self) -> str:
        """Return whose sizes they are."""
        return f"sizes of {self.bike}"

    @classmethod
    def names(cls) -> tuple[str, ...]:
        """Return the names of the sizes, in the order they are asked for."""
        return tuple(
            each.name for each in cls._meta.concrete_fields if each.name not in {"id", "bike"}
        )

    def known(self) -> dict[str, object]:
        """Return the sizes that are known, by name."""
        pairs = ((name, getattr(self, name)) for name in self.names())
        return {name: value for name, value in pairs if value not in (None, "")}

    def facts(self) -> Facts:
        """Return them, with what stands with the bike, as they are compared with a part's."""
        shown = {name: in_words(self, name) for name in self.known()}
        return Facts(
            bead_seat_mm=self.bike.bead_seat_mm,
            brake_kind="" if self.bike.rear_brake else self.bike.get_brake_display(),
            **shown,  # type: ignore[arg-type] # each of its own kind
        )


def in_words(fit: BikeFit, name: str) -> object:
    """Return a size: what has a name in words, a figure as it is."""
    display = getattr(fit, f"get_{name}_display", None)
    return display() if display else getattr(fit, name)
