"""The ledger as a whole: no penny is lost, nothing is changed, and the check proves it."""

from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, IntegrityError, connection, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.stock.checking import problems
from inventory.stock.errors import StockError
from inventory.stock.models import (
    CostMethod,
    KeptError,
    MovementKind,
    Reservation,
    StockLevel,
    StockMovement,
    StockSettings,
)
from inventory.stock.verbs.count import count
from inventory.stock.verbs.give_back import give_back
from inventory.stock.verbs.reverse import reverse_movement
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.stock import a_key, come_in, days_ago, stocked, take

pytestmark = pytest.mark.django_db
D = Decimal

STEPS = st.lists(
    st.tuples(
        st.sampled_from(["in", "in", "draw", "draw", "back", "reverse", "count"]),
        st.integers(1, 900),  # hundredths
        st.integers(0, 9999),  # pence each
        st.integers(1, 60),  # days ago
    ),
    min_size=1,
    max_size=12,
)


def do(step, part, by):
    """Do a step as far as the ledger lets it."""
    what, hundredths, pence, days = step
    quantity = D(hundredths) / 100
    rows = StockMovement.objects.filter(part=part)
    if what == "in":
        come_in(part, quantity, D(pence) / 100, days=days, by=by)
    elif what == "draw":
        take(part, quantity, days=days, by=by)
    elif what == "back" and (drawn := rows.filter(kind=MovementKind.DRAW).last()):
        give_back(drawn, quantity=quantity, by=by, key=a_key())
    elif what == "reverse" and (last := rows.order_by("pk").last()):
        reverse_movement(last, reason="wrong", by=by, key=a_key())
    elif what == "count":
        count(part, counted=quantity, at=days_ago(days), by=by, key=a_key())


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=STEPS, method=st.sampled_from(CostMethod))
def test_value_in_is_value_out_and_value_left_whatever_is_booked_when(db, steps, method):
    """Goods in, draws, returns, counts and reversals at any past time, also out of order."""
    with transaction.atomic():
        StockSettings.objects.update_or_create(pk=1, defaults={"method": method})
        part, by = PartFactory.create(), UserFactory.create()
        for step in steps:
            try:
                do(step, part, by)
            except StockError:
                continue
        rows = list(StockMovement.objects.filter(part=part))
        level = StockLevel.objects.filter(part=part).first() or StockLevel()
        value_in = sum((r.value for r in rows if r.value > 0), D(0))
        value_out = -sum((r.value for r in rows if r.value < 0), D(0))
        assert value_in == value_out + level.value
        assert level.on_hand == sum((r.quantity for r in rows), D(0)) >= 0
        assert list(problems()) == []
        transaction.set_rollback(True)


# kept


def test_a_movement_is_not_changed_nor_deleted():
    movement = come_in(PartFactory.create(), 1)
    with pytest.raises(KeptError):
        movement.save()
    with pytest.raises(KeptError):
        movement.delete()


def test_the_database_refuses_to_change_a_movement():
    movement = come_in(PartFactory.create(), 1)
    with pytest.raises(DatabaseError, match="stays as it is"), transaction.atomic():
        StockMovement.objects.filter(pk=movement.pk).update(quantity=2)


@pytest.mark.postgres
def test_the_database_refuses_to_delete_a_movement():
    movement = come_in(PartFactory.create(), 1)
    with pytest.raises(DatabaseError, match="stays as it is"), transaction.atomic():
        StockMovement.objects.filter(pk=movement.pk).delete()


@pytest.mark.parametrize(
    "wrong",
    [
        {"on_hand": -1},
        {"reserved": 6},
        {"reserved": -1},
        {"value": -1},
        {"on_hand": 0},  # worth something still
    ],
)
def test_the_database_refuses_an_impossible_level(wrong):
    part = stocked(5)
    with pytest.raises(IntegrityError), transaction.atomic():
        StockLevel.objects.filter(part=part).update(**wrong)


# checked


def test_the_check_says_what_it_proved(capsys):
    stocked(5)
    call_command("check_stock")
    assert capsys.readouterr().out == "1 movements prove 1 levels and their value.\n"


@pytest.mark.parametrize(
    ("forged", "words"),
    [
        ({"on_hand": 6}, "hub: the level says 6, the movements 5"),
        ({"value": 21}, "hub: the level is worth 21, the movements 20"),
        ({"reserved": 1}, "hub: the level has 1 reserved, reservations 0"),
    ],
)
def test_the_check_finds_a_forged_level(forged, words, capsys):
    part = stocked(5, "4.00", code="hub")
    StockLevel.objects.filter(part=part).update(**forged)
    with pytest.raises(CommandError, match="1 found wrong"):
        call_command("check_stock")
    assert capsys.readouterr().err.strip() == words


def test_the_check_finds_levels_and_reservations_without_movements():
    part = PartFactory.create(code="rim")
    Reservation.objects.create(
        part=part, quantity=1, left=1, reference="Q1", key="r", by=UserFactory.create()
    )
    assert list(problems()) == ["rim: 1 reserved of a part that never came in"]
    StockLevel.objects.create(part=part, on_hand=1, reserved=1)
    assert list(problems()) == ["rim: the level says 1, the movements 0"]


def test_the_check_finds_a_movement_costed_otherwise():
    part = PartFactory.create(code="hub")
    come_in(part, 2, 1, days=3)
    come_in(part, 2, 3, days=2)
    drawn = take(part, 1)
    StockLevel.objects.filter(part=part).update(method=CostMethod.FIFO)
    assert list(problems()) == [f"hub: costed otherwise than by fifo: movements {drawn.pk}"]


def test_the_triggers_stand_in_the_database():
    if connection.vendor == "sqlite":
        query = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    else:
        query = "SELECT tgname FROM pg_trigger"
    with connection.cursor() as cursor:
        cursor.execute(query)
        names = {name for (name,) in cursor.fetchall()}
    assert "stock_stockmovement_update_kept" in names
