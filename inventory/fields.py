"""Model fields shared by every layer."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.forms import Field

from inventory.formfields import PriceField

SHARE_LIMITS = [MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(1))]


class MoneyField(models.DecimalField):  # type: ignore[type-arg] # not subscriptable at run time
    """An amount of money in the shop's currency, never negative unless ``signed``.

    Four decimals are stored so that a unit price may be finer than the minor unit; a line's
    amount is quantised before it is stored.
    """

    def __init__(self, *args: Any, signed: bool = False, **kwargs: Any) -> None:
        """Take ``signed=True`` for amounts that may be below zero, such as a profit."""
        self.signed = signed
        kwargs.setdefault("max_digits", 14)
        kwargs.setdefault("decimal_places", 4)
        if not signed:
            kwargs.setdefault("validators", [MinValueValidator(Decimal(0))])
        super().__init__(*args, **kwargs)

    def deconstruct(self) -> tuple[str, str, Sequence[Any], dict[str, Any]]:
        """Keep ``signed`` in migrations."""
        name, path, args, kwargs = super().deconstruct()
        kwargs.pop("validators", None)
        if self.signed:
            kwargs["signed"] = True
        return name, path, args, kwargs

    def formfield(self, **kwargs: Any) -> Field | None:
        """Take amounts as people write them."""
        if "form_class" not in kwargs:
            kwargs |= {"form_class": PriceField, "signed": self.signed}
        return super().formfield(**kwargs)
