"""People who sign in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from django.contrib.auth.models import AbstractUser, UserManager
from django.db import models
from django.utils import timezone

if TYPE_CHECKING:
    from workshop.shop.models import Shop


class Role(models.TextChoices):
    """What a person does in the shop; it decides what they may open."""

    MANAGER = "manager", "manager"
    DESK = "desk", "front desk"
    MECHANIC = "mechanic", "mechanic"
    ACCOUNTANT = "accountant", "accountant (read-only)"


class People(UserManager["User"]):
    """Makes people; whoever is made on the command line as superuser is a manager."""

    use_in_migrations = False

    def create_superuser(
        self,
        username: str,
        email: str | None = None,
        password: str | None = None,
        **fields: Any,
    ) -> User:
        """Make a manager: ``manage.py createsuperuser`` gives a new shop its first one."""
        return super().create_superuser(
            username, email, password, **{"role": Role.MANAGER, **fields}
        )


class User(AbstractUser):
    """A person of the shop, with one role."""

    objects: ClassVar[People] = People()

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


class FailedSignIn(models.Model):
    """A sign-in that failed, kept for a while so that passwords can't be tried without end.

    ``login`` and ``place`` (login and network address together) are fingerprints, from which
    neither what was typed nor the address can be read.
    """

    login = models.CharField(max_length=64)
    place = models.CharField(max_length=64)
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        """What is looked for."""

        ordering = ("at",)
        indexes = (
            models.Index(fields=("login", "at"), name="failed_sign_in_by_login"),
            models.Index(fields=("at",), name="failed_sign_in_by_time"),
        )

    def __str__(self) -> str:
        """Return when it was."""
        return f"{self.at:%Y-%m-%d %H:%M}"
