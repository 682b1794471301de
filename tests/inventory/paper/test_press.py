"""The press leaves the process as it found it."""

import gc

import pytest

from inventory.paper import press
from inventory.paper.press import pdf_of


@pytest.fixture
def collecting():
    """Whatever becomes of it, the collector is on again after the test."""
    yield
    gc.enable()


@pytest.mark.usefixtures("collecting")
@pytest.mark.parametrize("was_on", [True, False])
def test_the_collector_rests_while_a_page_is_set_and_is_then_as_it_was(monkeypatch, was_on):
    seen, set_up = [], press._press

    def look():
        seen.append(gc.isenabled())
        return set_up()

    monkeypatch.setattr(press, "_press", look)
    (gc.enable if was_on else gc.disable)()
    assert pdf_of("<html lang=en><title>bell</title><p>bell").startswith(b"%PDF")
    assert (seen, gc.isenabled()) == ([False], was_on)


def test_a_page_that_fails_leaves_the_collector_on(monkeypatch):
    def broken():
        raise RuntimeError("no fonts")

    monkeypatch.setattr(press, "_press", broken)
    with pytest.raises(RuntimeError, match="no fonts"):
        pdf_of("<p>bell")
    assert gc.isenabled()
