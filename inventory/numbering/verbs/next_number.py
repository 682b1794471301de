"""Takes the next running number of a kind."""

from __future__ import annotations

from django.db import connection
from django.db.models import F
from django.db.transaction import TransactionManagementError

from inventory.numbering.models import Counter


def next_number(name: str, prefix: str, digits: int) -> str:
    """Return the next number of a kind, such as ``B0001`` for ``("bike", "B", 4)``.

    The counter's row stays locked until the caller's transaction ends: whoever asks at the same
    time waits, and a number whose transaction fails is given to the next one. More digits than
    asked for are used once they are needed.

    Raises:
        TransactionManagementError: the caller has no transaction open, so that the number would
            be spent even if what it is for is not saved.
    """
    if not connection.in_atomic_block:
        raise TransactionManagementError(
            f"Take a number for {name!r} inside transaction.atomic(), together with what it is for."
        )
    Counter.objects.get_or_create(name=name)
    Counter.objects.filter(name=name).update(value=F("value") + 1)
    value = Counter.objects.values_list("value", flat=True).get(name=name)
    return f"{prefix}{value:0{digits}}"
