"""Opening a card: tasks in order, figures copied, parts set aside as far as they are there."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from inventory.stock.checking import problems
from inventory.stock.models import StockLevel
from tests.factories import jobcards as made
from tests.factories.people import UserFactory
from tests.factories.stock import come_in, stocked
from workshop.bikes.models import Stage
from workshop.bikes.verbs.stages import StageError
from workshop.core.judgement import Importance
from workshop.jobcards.asked import DeclinedAsked, TaskAsked
from workshop.jobcards.models import JobCard
from workshop.jobcards.verbs.open_card import CardOpenError, NothingToDoError, open_card
from workshop.jobcards.verbs.parts import reserve_parts
from workshop.labour.models import AccessStep

pytestmark = pytest.mark.django_db


def rows(card):
    return [(task.kind, task.code) for task in card.tasks.all()]


def test_the_wheel_comes_out_once_and_goes_in_once(card):
    assert rows(card) == [
        ("open", "wheel-out"),
        ("work", "hub"),
        ("work", "rim"),
        ("close", "wheel-out"),
    ]
    assert [task.position for task in card.tasks.all()] == [1, 2, 3, 4]
    assert card.number == "J0001"
    assert card.state == "ready"
    card.bike.refresh_from_db()
    assert card.bike.stage == Stage.IN_WORK


def test_minutes_of_a_step_are_shared_between_its_two_rows_and_add_up():
    made.operation("hub", "odd")
    AccessStep.objects.filter(code="odd").update(minutes=Decimal("2.5"))
    card = made.a_card(made.asked("hub"))
    minutes = {task.kind: task.minutes for task in card.tasks.all()}
    assert minutes["open"] + minutes["close"] == Decimal("2.5")
    assert minutes["work"] == 10


def test_torque_and_caution_are_copied_from_the_operation(card):
    hub = made.task_of(card, "hub")
    assert hub.figure == (Decimal(17), Decimal(25))
    type(hub.operation).objects.update(torque_low_nm=1)
    hub.refresh_from_db()
    assert hub.torque_low_nm == 17


def test_parts_are_set_aside(card):
    row = made.row_of(card, "cones")
    assert (row.wanted, row.reserved, row.short) == (2, 2, 0)
    assert StockLevel.objects.get(part=row.part).reserved == 2
    assert "J0001" in row.reservation.reference
    assert list(problems()) == []


def test_short_parts_are_set_aside_as_far_as_they_go_and_the_rest_when_it_comes_in(ada):
    made.operation("hub")
    part = stocked(1, code="cones")
    card = made.a_card(made.asked("hub", parts=(("hub", part, 3),)))
    assert (made.row_of(card, "cones").reserved, made.row_of(card, "cones").short) == (1, 2)
    come_in(part, 5)
    reserve_parts(card, by=ada, key="later")
    reserve_parts(card, by=ada, key="later")
    row = made.row_of(card, "cones")
    assert (row.reserved, row.short) == (3, 0)
    assert StockLevel.objects.get(part=part).reserved == 3
    assert list(problems()) == []


def test_a_part_that_never_came_in_is_short():
    made.operation("hub")
    from tests.factories.parts import PartFactory

    card = made.a_card(made.asked("hub", parts=(("hub", PartFactory.create(code="axle"), 1),)))
    assert made.row_of(card, "axle").short == 1
    assert made.row_of(card, "axle").reservation is None


def test_what_was_declined_is_kept_in_the_quotes_words():
    made.operation("hub")
    no = DeclinedAsked(
        "Renew the blocks", Importance.MUST, "Front brake: worn", "It will not stop."
    )
    card = made.a_card(made.asked("hub", declined=(no,)))
    kept = card.declined.get()
    assert (kept.title, kept.is_must, kept.words) == ("Renew the blocks", True, "It will not stop.")


def test_work_that_is_no_operation_is_a_task_of_its_own():
    made.operation("hub", "wheel-out")
    work = made.asked("hub")
    by_hand = TaskAsked("hand:7", "Find the noise", Decimal(0), is_operation=False)
    card = made.a_card(type(work)(**{**as_fields(work), "tasks": (by_hand, *work.tasks)}))
    assert rows(card)[-1] == ("work", "hand:7")
    assert made.task_of(card, "hand:7").operation is None


def as_fields(work):
    return {name: getattr(work, name) for name in work.__slots__}


def test_one_open_card_a_bike(card):
    with pytest.raises(CardOpenError, match="J0001"):
        open_card(card.bike, card.inspection, made.asked("hub"), by=UserFactory.create())
    with pytest.raises(IntegrityError), transaction.atomic():
        JobCard.objects.create(
            number="J9",
            bike=card.bike,
            inspection=card.inspection,
            quote_number="Q1",
            revision_number=1,
            revision_key=1,
            opened_by=UserFactory.create(),
        )


def test_nothing_to_do_opens_nothing_and_spends_no_number():
    inspection = made.inspected_bike()
    with pytest.raises(NothingToDoError):
        made.a_card(made.asked(), inspection=inspection)
    made.operation("hub")
    assert made.a_card(made.asked("hub"), inspection=inspection).number == "J0001"


def test_a_bike_whose_quote_nobody_accepted_is_refused_whole():
    made.operation("hub")
    inspection = made.inspected_bike()
    type(inspection.bike).objects.update(stage=Stage.SENT)
    inspection.bike.refresh_from_db()
    part = stocked(2, code="cones")
    work = made.asked("hub", parts=(("hub", part, 1),))
    with pytest.raises(StageError):
        made.a_card(work, inspection=inspection)
    assert not JobCard.objects.exists()
    assert StockLevel.objects.get(part=part).reserved == 0
