"""Saves a person's login, role and whether it is in use."""

from __future__ import annotations

from django.db import transaction

from workshop.people.models import Role, User


class LastManagerError(Exception):
    """Raised when nobody would be left who may change people and the shop."""

    def __init__(self) -> None:
        super().__init__(
            "This is the last manager in use. Make somebody else a manager first, "
            "or nobody could let people in any more."
        )


@transaction.atomic
def save_person(person: User, *, password: str = "") -> User:
    """Save the person and, where one is given, their new password; return them.

    A new password ends their sessions; a login no longer in use ends at the next click. The
    managers' rows are locked, so that two managers can't shut each other out at the same time.

    Raises:
        LastManagerError: no manager in use would be left.
    """
    in_use = User.objects.select_for_update().filter(role=Role.MANAGER, is_active=True)
    managers = set(in_use.order_by("pk").values_list("pk", flat=True))
    stays = person.role == Role.MANAGER and person.is_active
    if managers and managers <= {person.pk} and not stays:
        raise LastManagerError
    if password:
        person.set_password(password)
    person.save()
    return person
