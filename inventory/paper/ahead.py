"""Printing ahead: a verb that keeps a page holds no lock while the page is made."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

from django.db import connection

from inventory.paper import press
from inventory.paper.press import READY, Page, PageWantedError

P = ParamSpec("P")
R = TypeVar("R")
RUNS = 3
"""A page may change from one run to the next, as where somebody writes something meanwhile."""


def printed_ahead(verb: Callable[P, R]) -> Callable[P, R]:
    """Let a verb in one transaction print its page before that transaction is held.

    Making a page takes from half a second to several, and on SQLite a transaction keeps everybody
    else from writing. So the verb is first run as far as its page, which undoes all it did; the
    page is printed with nothing held; then the verb is run whole, and finds the page ready. It
    takes it only where the page of that run is the same to the letter: what somebody changed in
    between is never printed as it was. A page that changes again and again is printed as it comes,
    under the lock.

    So the verb must do nothing before its page that a rollback does not undo. Within a transaction
    that is open already there is nothing to win, and it is simply run.
    """

    @wraps(verb)
    def run(*args: P.args, **kwargs: P.kwargs) -> R:
        if connection.in_atomic_block:
            return verb(*args, **kwargs)
        ready: tuple[tuple[Page, bytes], ...] = ()
        for _ in range(RUNS):
            token = READY.set(ready)
            try:
                return verb(*args, **kwargs)
            except PageWantedError as wanted:
                page = wanted.page
            finally:
                READY.reset(token)
            ready = (*ready, (page, press.printed(page)))
        return verb(*args, **kwargs)

    return run
