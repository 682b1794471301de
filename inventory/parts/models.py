"""Parts as the shop keeps and sells them."""

from __future__ import annotations

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Upper
from simple_history.models import HistoricalRecords
from stdnum import ean
from stdnum.exceptions import ValidationError as WrongNumber

from inventory.core.fitting import Facts, known_bead_seat
from inventory.core.selling import Rounding
from inventory.fields import MoneyField


class VatCode(models.TextChoices):
    """The kind of VAT rate an article or a service falls under; the rate itself is dated."""

    STANDARD = "standard", "standard rate"
    REDUCED = "reduced", "reduced rate"
    ZERO = "zero", "zero rate"


class Ending(models.TextChoices):
    """How a price reckoned from the cost ends, VAT included."""

    NONE = Rounding.NONE.value, "as it comes"
    FIFTY = Rounding.FIFTY.value, "…50 or …00"
    WHOLE = Rounding.WHOLE.value, "…00"
    NINETY_NINE = Rounding.NINETY_NINE.value, "…99"


NOT_NEGATIVE = [MinValueValidator(Decimal(0))]
MOST_MARKUP = Decimal(99)


def normal_gtin(text: str) -> str:
    """Return a GTIN as it is kept: its figures only, as EAN-13 where it has fewer.

    Raises:
        ValidationError: its check digit or its length is wrong.
    """
    try:
        number: str = ean.validate(text)
    except WrongNumber as error:
        raise ValidationError(
            f"“{text}” is no article number (GTIN): its check digit or length is wrong. "
            "Read the figures under the bars again."
        ) from error
    return number.zfill(13) if len(number) == len("012345678905") else number


def check_gtin(text: str) -> None:
    """Refuse a GTIN whose check digit or length is wrong."""
    normal_gtin(text)


class Part(models.Model):
    """An article fitted to bikes, with its cost and selling price, both net of VAT.

    ``cost_low_net`` and ``cost_high_net`` are kept where the cost is uncertain; ``cost_net`` is
    the likely one. All three are per ``unit``. ``markup`` is a share of the cost, by which a
    selling price is proposed that ends as ``ending`` says. ``minimum`` is how many should be there.
    """

    code = models.SlugField("code", max_length=60, unique=True)
    name = models.CharField("name", max_length=120)
    unit = models.CharField("unit", max_length=12, default="pc", help_text="pc, pair, m, set …")
    cost_low_net = MoneyField("cost at best, net", null=True, blank=True)
    cost_net = MoneyField("cost, net", help_text="What the shop pays, without VAT.")
    cost_high_net = MoneyField("cost at worst, net", null=True, blank=True)
    price_net = MoneyField("selling price, net", help_text="What the customer pays, without VAT.")
    vat_code = models.CharField(
        "VAT", max_length=10, choices=VatCode.choices, default=VatCode.STANDARD
    )
    safety_critical = models.BooleanField("safety-critical", default=False)
    note = models.CharField("note", max_length=300, blank=True)
    active = models.BooleanField("in use", default=True)
    gtin = models.CharField(
        "article number (GTIN)", max_length=20, blank=True, validators=[check_gtin]
    )
    pack_size = models.PositiveIntegerField(
        "pack of", default=1, validators=[MinValueValidator(1)], help_text="How many come in one."
    )
    markup = models.DecimalField(
        "mark-up on cost",
        max_digits=6,
        decimal_places=4,
        null=True,
        blank=True,
        validators=[*NOT_NEGATIVE, MaxValueValidator(MOST_MARKUP)],
    )
    ending = models.CharField(
        "price ends in", max_length=12, choices=Ending.choices, default=Ending.NONE
    )
    minimum = models.DecimalField(
        "at least in stock", max_digits=9, decimal_places=2, default=0, validators=NOT_NEGATIVE
    )
    place = models.CharField("shelf place", max_length=40, blank=True, db_index=True)
    size_of = models.ForeignKey(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="sizes",
        verbose_name="a size of",
        help_text="The part that remedies name. The size that fits the bike takes its place.",
    )
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("name",)
        indexes = (
            models.Index(fields=("name", "id"), name="part_by_name"),
            models.Index(Upper("code"), name="part_by_code_in_any_case"),
        )
        constraints = (
            models.CheckConstraint(
                condition=Q(cost_net__gte=0) & Q(price_net__gte=0),
                name="part_money_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(cost_low_net__isnull=True) | Q(cost_low_net__lte=F("cost_net")),
                name="part_cost_low_not_above_likely",
            ),
            models.CheckConstraint(
                condition=Q(cost_high_net__isnull=True) | Q(cost_high_net__gte=F("cost_net")),
                name="part_cost_high_not_below_likely",
            ),
            models.CheckConstraint(
                condition=Q(minimum__gte=0) & Q(pack_size__gte=1), name="part_minimum_and_pack"
            ),
            models.CheckConstraint(
                condition=Q(markup__isnull=True) | Q(markup__gte=0),
                name="part_markup_not_negative",
            ),
            models.UniqueConstraint(
                fields=("gtin",),
                condition=~Q(gtin=""),
                name="one_part_a_gtin",
                violation_error_message="Another part has this article number already.",
            ),
            models.CheckConstraint(
                condition=Q(size_of__isnull=True) | ~Q(size_of=F("pk")),
                name="part_no_size_of_itself",
                violation_error_message="A part is no size of itself.",
            ),
        )

    def __str__(self) -> str:
        """Return the name with the code."""
        return f"{self.name} ({self.code})"

    def clean(self) -> None:
        """Keep the article number as its figures; see that sizes are one level deep."""
        super().clean()
        if self.gtin:
            self.gtin = normal_gtin(self.gtin)
        if self.size_of is None:
            return
        if self.size_of.size_of_id:
            raise ValidationError(f"{self.size_of} is itself a size of a part. Choose that one.")
        if self.pk and self.sizes.exists():
            raise ValidationError("Other parts are sizes of this one, so it is a size of none.")


def check_bead_seat(size_mm: int) -> None:
    """Refuse a bead seat diameter for which nothing is made."""
    if not known_bead_seat(size_mm):
        raise ValidationError(
            f"{size_mm} mm is no rim diameter. Read the last figure on the side wall, such as 406."
        )


class SpindleKind(models.TextChoices):
    """How cranks sit on a spindle."""

    SQUARE_ISO = "square_iso", "square taper, ISO"
    SQUARE_JIS = "square_jis", "square taper, JIS"
    COTTERED = "cottered", "cottered"
    SPLINED = "splined", "splined"
    THROUGH = "through", "24 mm through axle"


class ShellThread(models.TextChoices):
    """How a bottom bracket is held in its shell."""

    BSC = "bsc", "1.37 in × 24, left-hand on the right (BSC)"
    ITALIAN = "italian", "36 mm × 24, right-hand both sides (Italian)"
    FRENCH = "french", "35 mm × 1, right-hand both sides (French)"
    SWISS = "swiss", "35 mm × 1, left-hand on the right (Swiss)"
    PRESSED = "pressed", "pressed in, no thread"


class BrakeKind(models.TextChoices):
    """What brakes work on."""

    RIM = "rim", "rim brakes"
    DISC = "disc", "disc brakes"
    HUB = "hub", "hub or coaster brakes"


class SteererKind(models.TextChoices):
    """How a fork's steerer holds the headset and the stem."""

    THREADED = "threaded", "threaded, stem inside it"
    PLAIN = "plain", "plain, stem clamped round it"


class Dropout(models.TextChoices):
    """What holds an axle in frame or fork."""

    OPEN = "open", "open slot, nuts or quick release"
    THROUGH_12 = "through_12", "closed, through axle 12 mm"
    THROUGH_15 = "through_15", "closed, through axle 15 mm"
    THROUGH_20 = "through_20", "closed, through axle 20 mm"


class AxleEnd(models.TextChoices):
    """Which end of the bike a part is for."""

    FRONT = "front", "front"
    REAR = "rear", "rear"


def measured(name: str, **kwargs: object) -> models.DecimalField:  # type: ignore[type-arg] # as above
    """Return a field for a size in mm to a hundredth, empty where it does not matter."""
    return models.DecimalField(
        name,
        max_digits=6,
        decimal_places=2,
        null=True,
        blank=True,
        validators=NOT_NEGATIVE,
        **kwargs,  # type: ignore[arg-type]
    )


class FitFacts(models.Model):
    """What decides which bikes a part fits; empty where it does not matter for this part."""

    part = models.OneToOneField(Part, on_delete=models.CASCADE, related_name="fit")
    bead_seat_mm = models.PositiveSmallIntegerField(
        "rim diameter, mm", null=True, blank=True, validators=[check_bead_seat]
    )
    section_mm = models.PositiveSmallIntegerField("tyre width, mm", null=True, blank=True)
    shell_width_mm = measured("bottom-bracket shell width, mm")
    shell_thread = models.CharField(
        "bottom-bracket thread", max_length=10, choices=ShellThread.choices, blank=True
    )
    spindle_kind = models.CharField(
        "spindle", max_length=12, choices=SpindleKind.choices, blank=True
    )
    spindle_mm = measured("spindle length, mm")
    steerer_mm = measured("steerer diameter, mm")
    steerer_kind = models.CharField(
        "steerer", max_length=10, choices=SteererKind.choices, blank=True
    )
    axle_end = models.CharField(
        "front or rear axle", max_length=5, choices=AxleEnd.choices, blank=True
    )
    axle_mm = measured("width over locknuts, mm")
    dropout = models.CharField("dropout", max_length=12, choices=Dropout.choices, blank=True)
    chain_mm = measured("chain width, mm")
    chain_speeds = models.PositiveSmallIntegerField("number of sprockets", null=True, blank=True)
    brake_kind = models.CharField("brakes", max_length=10, choices=BrakeKind.choices, blank=True)
    pad_shape = models.CharField("brake pad shape", max_length=40, blank=True)
    post_mm = measured("seat-post diameter, mm")
    history = HistoricalRecords()

    class Meta:
        """Names."""

        verbose_name = "fit facts"
        verbose_name_plural = "fit facts"

    def __str__(self) -> str:
        """Return whose facts they are."""
        return f"fit of {self.part}"

    def facts(self) -> Facts:
        """Return them as they are compared."""
        return Facts(
            bead_seat_mm=self.bead_seat_mm,
            section_mm=self.section_mm,
            shell_width_mm=self.shell_width_mm,
            shell_thread=self.get_shell_thread_display(),
            spindle_kind=self.get_spindle_kind_display(),
            spindle_mm=self.spindle_mm,
            steerer_mm=self.steerer_mm,
            steerer_kind=self.get_steerer_kind_display(),
            axle_end=self.axle_end,
            axle_mm=self.axle_mm,
            dropout=self.get_dropout_display(),
            chain_mm=self.chain_mm,
            chain_speeds=self.chain_speeds,
            brake_kind=self.get_brake_kind_display(),
            pad_shape=self.pad_shape,
            post_mm=self.post_mm,
        )

    @property
    def told(self) -> list[tuple[str, object]]:
        """Return what is kept, with its name, for showing."""
        fields = [each for each in self._meta.fields if each.name not in {"id", "part"}]
        pairs = [(str(each.verbose_name), self.shown(each.name)) for each in fields]
        return [(name, value) for name, value in pairs if value not in (None, "")]

    def shown(self, name: str) -> object:
        """Return a fact in words."""
        display = getattr(self, f"get_{name}_display", None)
        value = display() if display else getattr(self, name)
        return f"{value.normalize():f}" if isinstance(value, Decimal) else value
