"""People who sign in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib.auth.models import AbstractUser
from django.db import models

if TYPE_CHECKING:
    from workshop.shop.models import Shop


class Role(models.TextChoices):
    """What a person does in the shop; it decides what they may open."""

    MANAGER = "manager", "manager"
    DESK = "desk", "front desk"
    MECHANIC = "mechanic", "mechanic"
    ACCOUNTANT = "accountant", "accountant (read-only)"


class User(AbstractUser):
    """A person of the shop, with one role."""

    role = models.CharField("role", max_length=12, choices=Role.choices, default=Role.MECHANIC)

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("username",)
        constraints = (
            models.CheckConstraint(
                condition=models.Q(role__in=Role.values), name="user_role_is_known"
            ),
        )

    def __str__(self) -> str:
        """Return the full name, or the login where no name is kept."""
        return self.get_full_name() or self.username

    def may_see_costs(self, shop: Shop) -> bool:
        """Tell whether the shop's own costs and margins may be shown to this person."""
        if self.role in {Role.MANAGER, Role.ACCOUNTANT}:
            return True
        return self.role == Role.MECHANIC and shop.mechanics_see_costs
