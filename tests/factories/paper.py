"""A press that tells whether a transaction was open while it printed."""

from django.db import connection

from inventory.paper import press


def watched_press(monkeypatch):
    """Print as ever; return a list that gets, a page, whether a transaction was held by it."""
    held, printed = [], press.printed

    def watched(page):
        held.append(connection.in_atomic_block)
        return printed(page)

    monkeypatch.setattr(press, "printed", watched)
    return held
