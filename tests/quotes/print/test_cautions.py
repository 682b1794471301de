"""What the customer is told to mind."""

from __future__ import annotations

import pytest

from quotes.print.cautions import cautions_for
from quotes.quoting.models import QuotedFinding
from workshop.catalogue.loading import load_catalogue
from workshop.core.cautions import CAUTIONS, MAKER_FIRST
from workshop.inspections.models import Checkpoint


def row(code, judgement="needs_work", **fields):
    """Return a finding at a checkpoint, not stored."""
    name = code.replace("-", " ").capitalize()
    return QuotedFinding(checkpoint_code=code, checkpoint_name=name, judgement=judgement, **fields)


@pytest.mark.django_db
def test_every_checkpoint_named_is_one_of_the_catalogues():
    load_catalogue()
    known = set(Checkpoint.objects.values_list("code", flat=True))
    assert set().union(*(each.checkpoints for each in CAUTIONS)) <= known


def test_each_is_said_once_and_the_maker_goes_first():
    said = cautions_for([row("front-rim-brake"), row("rear-rim-brake")], offers=True)
    assert len(said) == 2
    assert said[0].startswith("Brakes: ")
    assert said[-1] == MAKER_FIRST


def test_only_what_work_is_offered_for_counts():
    assert cautions_for([row("main-hinge", no_work_reason="not wanted")], offers=True) == (
        MAKER_FIRST,
    )
    assert cautions_for([row("bell")], offers=True) == (MAKER_FIRST,)


def test_what_is_unsafe_comes_first_even_where_no_price_is_offered():
    rows = [row("rear-stays", "unsafe"), row("rear-stays", "unsafe"), row("chain")]
    (said,) = cautions_for(rows, offers=False)
    assert said == (
        "Do not ride the bike until what is marked unsafe has been put right: Rear stays."
    )
