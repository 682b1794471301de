"""Which hidden faults are reckoned with: by kind of bike, age, use, and what was found."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from quotes.deciding.models import HiddenRisk
from quotes.deciding.risks import hidden_in
from tests.factories import quotes as made
from tests.factories.bikes import BikeFactory
from tests.factories.planning import hidden_risk
from workshop.inspections.selectors import findings_of

pytestmark = pytest.mark.django_db


def names(bike, age=5, findings=()):
    return [each.name for each in hidden_in(bike, age, findings)]


@pytest.mark.parametrize(
    ("fields", "there"),
    [
        ({}, True),
        ({"frames": ["folding"]}, True),
        ({"frames": ["diamond"]}, False),
        ({"brakes": ["disc"]}, False),
        ({"gears": ["single"]}, False),
        ({"uses": ["hard"]}, False),
        ({"uses": ["everyday", "hard"]}, True),
        ({"age_from": 5}, True),
        ({"age_from": 6}, False),
        ({"age_below": 5}, False),
        ({"age_below": 6}, True),
        ({"active": False}, False),
    ],
)
def test_a_risk_is_for_some_bikes(fields, there):
    hidden_risk("rust", **fields)
    assert (names(BikeFactory.create()) == ["rust"]) is there


def test_an_unknown_age_matches_every_one():
    hidden_risk("old", age_from=10)
    hidden_risk("young", age_below=2)
    assert names(BikeFactory.create(), None) == ["old", "young"]


def test_a_risk_waits_for_its_fault_and_is_gone_where_it_lies_open():
    chain, sprockets = made.fault("chain-worn"), made.fault("sprockets-worn")
    hidden_risk("sprockets", faults=(chain,), unless=(sprockets,))
    clean, worn = made.inspected(), made.inspected(chain)
    open_now = made.inspected(chain, sprockets)
    assert names(clean.bike, 5, findings_of(clean)) == []
    assert names(worn.bike, 5, findings_of(worn)) == ["sprockets"]
    assert names(open_now.bike, 5, findings_of(open_now)) == []


def test_a_risk_at_a_checkpoint_waits_for_anything_found_there():
    hinge, bell = made.fault("hinge-stiff"), made.fault("bell-missing")
    hidden_risk("bolts-frozen", checkpoint=hinge.checkpoint)
    other, there = made.inspected(bell), made.inspected(hinge)
    assert names(other.bike, 5, findings_of(other)) == []
    assert names(there.bike, 5, findings_of(there)) == ["bolts frozen"]


@pytest.mark.parametrize(
    "fields",
    [
        {"probability": Decimal("0.61")},
        {"probability": Decimal(0)},
        {"cost_low_net": Decimal(21)},
        {"cost_high_net": Decimal(19)},
        {"age_from": 5, "age_below": 5},
    ],
)
def test_the_database_refuses_what_cannot_be(fields):
    with pytest.raises(IntegrityError), transaction.atomic():
        hidden_risk("rust", **fields)
    with pytest.raises(ValidationError):
        HiddenRisk(
            **{
                "code": "rust",
                "words": "rust",
                "probability": Decimal("0.2"),
                "cost_low_net": Decimal(10),
                "cost_net": Decimal(20),
                "cost_high_net": Decimal(60),
                "source": "s",
                **fields,
            }
        ).full_clean()


def test_the_catalogue_brings_at_least_ten_each_with_its_source(catalogue):
    rows = HiddenRisk.objects.all()
    assert len(rows) >= 10
    assert all(row.source for row in rows)
    for row in rows:
        row.full_clean()
