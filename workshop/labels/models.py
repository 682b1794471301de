"""The sizes of labels that the shop has in its printer, measured in mm."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from workshop.core.labels import Grid

MM: dict[str, Any] = {"max_digits": 5, "decimal_places": 1}
SMALLEST, LARGEST = Decimal(10), Decimal(500)
SIZE = [MinValueValidator(SMALLEST), MaxValueValidator(LARGEST)]
EDGE = [MinValueValidator(Decimal(0)), MaxValueValidator(LARGEST)]
MANY = [MinValueValidator(1), MaxValueValidator(40)]


class LabelSize(models.Model):
    """A sheet of labels, or single ones off a roll: then it has one column and one row."""

    code = models.SlugField("code", max_length=60, unique=True)
    name = models.CharField("name", max_length=80)
    sheet_width = models.DecimalField("sheet, width", validators=SIZE, **MM)
    sheet_height = models.DecimalField("sheet, height", validators=SIZE, **MM)
    width = models.DecimalField("label, width", validators=SIZE, **MM)
    height = models.DecimalField("label, height", validators=SIZE, **MM)
    columns = models.PositiveSmallIntegerField("labels side by side", default=1, validators=MANY)
    rows = models.PositiveSmallIntegerField(
        "labels one below the other", default=1, validators=MANY
    )
    left = models.DecimalField("from the left edge", default=0, validators=EDGE, **MM)
    top = models.DecimalField("from the upper edge", default=0, validators=EDGE, **MM)
    across = models.DecimalField("from label to label, across", default=0, validators=EDGE, **MM)
    down = models.DecimalField("from label to label, down", default=0, validators=EDGE, **MM)
    order = models.PositiveSmallIntegerField("order", default=0)
    active = models.BooleanField("in use", default=True)
    history = HistoricalRecords()

    class Meta:
        """In the order in which they are offered, and what the database holds to."""

        ordering = ("order", "name", "pk")
        constraints = (
            models.CheckConstraint(
                condition=Q(width__gte=SMALLEST, height__gte=SMALLEST)
                & Q(columns__gte=1, rows__gte=1, left__gte=0, top__gte=0),
                name="label_size_plausible",
                violation_error_message="A label is at least 10 mm wide and high.",
            ),
            models.CheckConstraint(
                condition=Q(sheet_width__gte=F("width"), sheet_height__gte=F("height")),
                name="label_fits_on_its_sheet",
                violation_error_message="The label is larger than its sheet.",
            ),
        )

    def __str__(self) -> str:
        """Return the name."""
        return self.name

    @property
    def grid(self) -> Grid:
        """Return where its labels stand, as the core knows it."""
        return Grid(
            sheet_width=Decimal(self.sheet_width),
            sheet_height=Decimal(self.sheet_height),
            width=Decimal(self.width),
            height=Decimal(self.height),
            columns=self.columns,
            rows=self.rows,
            left=Decimal(self.left),
            top=Decimal(self.top),
            across=Decimal(self.across),
            down=Decimal(self.down),
        )

    def clean(self) -> None:
        """Refuse labels that overlap or stand beyond their sheet."""
        super().clean()
        names = ("sheet_width", "sheet_height", "width", "height", "columns", "rows")
        if any(getattr(self, each) is None for each in names):
            return
        if wrong := self.grid.wrong():
            raise ValidationError(wrong)
