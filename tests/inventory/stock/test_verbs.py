"""The verbs of stock: what each books, what it refuses, and that nothing is booked twice."""

from decimal import Decimal

import pytest
from django.core.management import call_command
from django.db import transaction

from inventory.stock.errors import KeyUsedError, NotEnoughError, StockError
from inventory.stock.models import (
    CostMethod,
    Grade,
    MovementKind,
    Reservation,
    StockLevel,
    StockMovement,
    StockSettings,
)
from inventory.stock.verbs.choose_method import choose_method
from inventory.stock.verbs.count import count
from inventory.stock.verbs.give_back import give_back
from inventory.stock.verbs.release import release
from inventory.stock.verbs.reserve import reserve
from inventory.stock.verbs.reverse import reverse_movement
from inventory.stock.verbs.scrap import scrap
from inventory.stock.verbs.strip import strip
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.shop import ShopFactory
from tests.factories.stock import a_key, come_in, days_ago, stocked, take

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def by():
    return UserFactory.create()


@pytest.fixture(autouse=True)
def _ledger_proves_the_levels(db):
    """Whatever a test does, the check finds nothing wrong afterwards."""
    yield
    call_command("check_stock", verbosity=0)


def level(part):
    return StockLevel.objects.get(part=part)


def standing(part):
    found = level(part)
    return found.on_hand, found.reserved, found.value


# goods in and drawn


def test_goods_in_raise_the_level_and_its_value():
    part = PartFactory.create()
    movement = come_in(part, 3, "1.115")
    assert movement.value == D("3.35")  # 3.345, half up once
    assert standing(part) == (3, 0, D("3.35"))


def test_a_draw_costs_the_running_average():
    part = PartFactory.create()
    come_in(part, 10, 91, days=5)
    come_in(part, 15, 106, days=4)
    assert take(part, 20).value == -2000
    assert standing(part) == (5, 0, 500)


def test_a_draw_costs_the_oldest_where_the_shop_chose_so():
    StockSettings.objects.create(pk=1, method=CostMethod.FIFO)
    part = PartFactory.create()
    come_in(part, 10, 91, days=5)
    come_in(part, 15, 106, days=4)
    assert take(part, 20).value == -1970


def test_more_than_there_is_cannot_be_drawn():
    part = stocked(2, name="Inner tube")
    with pytest.raises(NotEnoughError, match=r"Inner tube: only 2 pc on hand\."):
        take(part, 3)
    assert standing(part)[0] == 2


def test_a_currency_without_pence_books_whole_units():
    ShopFactory.create(currency="JPY")
    part = PartFactory.create()
    come_in(part, 3, 33.5)
    assert take(part, 1).value == -34
    assert level(part).value == 67


@pytest.mark.parametrize("quantity", ["0", "-1", "1.005", "1000000"])
def test_a_quantity_that_is_none_is_refused(quantity):
    with pytest.raises(StockError, match="above 0 with at most two decimals"):
        come_in(PartFactory.create(), quantity)


def test_tomorrow_is_refused():
    with pytest.raises(StockError, match="lies ahead"):
        come_in(PartFactory.create(), 1, days=-1)


def test_a_cost_below_zero_is_refused():
    with pytest.raises(StockError, match="never below zero"):
        come_in(PartFactory.create(), 1, "-1")


# one key, one movement


def test_the_same_key_books_once():
    part = stocked(5)
    first = take(part, 2, key="job:7")
    again = take(part, 2, key="job:7")
    assert first == again
    assert level(part).on_hand == 3


def test_a_key_of_something_else_is_refused():
    part = stocked(5)
    take(part, 2, key="job:7")
    with pytest.raises(KeyUsedError, match="job:7"):
        take(part, 1, key="job:7")
    with pytest.raises(KeyUsedError):
        come_in(part, 2, key="job:7")
    assert level(part).on_hand == 3


def test_a_verb_that_fails_leaves_nothing(by):
    part = stocked(5)
    with pytest.raises(NotEnoughError), transaction.atomic():
        [take(part, each) for each in (2, 4)]
    assert standing(part)[0] == 5
    assert StockMovement.objects.filter(kind=MovementKind.DRAW).count() == 0


# reserved


def test_what_is_reserved_is_drawn_by_nobody_else(by):
    part = stocked(2, name="Chain")
    kept = reserve(part, quantity=D(1), reference="Q0007", by=by, key="r1")
    with pytest.raises(NotEnoughError, match="only 2 pc on hand, 1 of them reserved for Q0007"):
        take(part, 2)
    take(part, 1)
    assert standing(part)[:2] == (1, 1)
    take(part, 1, reservation=kept)
    assert standing(part) == (0, 0, 0)


def test_a_draw_beyond_its_reservation_takes_what_is_free(by):
    part = stocked(5)
    kept = reserve(part, quantity=D(2), reference="Q0007", by=by, key="r1")
    take(part, 3, reservation=kept)
    assert standing(part)[:2] == (2, 0)
    with pytest.raises(StockError, match="Nothing is reserved for Q0007 any more"):
        take(part, 1, reservation=kept)


def test_a_reservation_of_another_part_is_refused(by):
    kept = reserve(stocked(1), quantity=D(1), reference="Q0007", by=by, key="r1")
    with pytest.raises(StockError, match="another part"):
        take(stocked(1), 1, reservation=kept)


def test_only_what_is_free_can_be_reserved(by):
    part = stocked(2)
    reserve(part, quantity=D(1), reference="Q1", by=by, key="r1")
    assert reserve(part, quantity=D(1), reference="Q1", by=by, key="r1").left == 1
    with pytest.raises(NotEnoughError, match="only 1 pc are free of the 2 on hand"):
        reserve(part, quantity=D(2), reference="Q2", by=by, key="r2")
    with pytest.raises(KeyUsedError):
        reserve(part, quantity=D(2), reference="Q2", by=by, key="r1")
    with pytest.raises(StockError, match="what it is reserved for"):
        reserve(part, quantity=D(1), reference=" ", by=by, key="r3")


def test_what_is_released_is_free_again(by):
    part = stocked(2)
    kept = reserve(part, quantity=D(2), reference="Q1", by=by, key="r1")
    release(kept)
    release(kept)
    assert standing(part)[:2] == (2, 0)
    assert Reservation.objects.get().left == 0


# what comes back, is scrapped, or comes off a donor bike


def test_what_comes_back_is_worth_what_it_was_drawn_for(by):
    part = PartFactory.create()
    come_in(part, 3, "0.3333", days=3)  # 1.00 in all
    drawn = take(part, 3, days=2)
    come_in(part, 5, 9, days=1)
    backs = [give_back(drawn, quantity=D(1), by=by, key=a_key()) for _ in range(3)]
    assert [each.value for each in backs] == [D("0.33"), D("0.34"), D("0.33")]
    with pytest.raises(StockError, match="Only 0 of this draw are still out"):
        give_back(drawn, quantity=D(1), by=by, key=a_key())
    assert level(part).value == D("46.00")


def test_a_return_with_the_same_key_is_booked_once(by):
    part = stocked(3)
    drawn = take(part, 2)
    assert give_back(drawn, quantity=D(1), by=by, key="b") == give_back(
        drawn, quantity=D(1), by=by, key="b"
    )
    assert level(part).on_hand == 2


def test_only_a_draw_is_returned(by):
    part = PartFactory.create()
    with pytest.raises(StockError, match="Only what was drawn"):
        give_back(come_in(part, 3), quantity=D(1), by=by, key="b")


def test_what_is_scrapped_leaves_with_its_value_and_a_reason(by):
    part = stocked(2, "5.00")
    with pytest.raises(StockError, match="why it is scrapped"):
        scrap(part, quantity=D(1), reason=" ", by=by, key="s")
    assert scrap(part, quantity=D(1), reason="cracked", by=by, key="s").value == -5
    assert standing(part) == (1, 0, 5)


def test_a_part_off_a_donor_bike_bears_its_share(by):
    part = PartFactory.create()
    given = {"quantity": D(2), "cost_share": D("7.50"), "by": by, "key": "x"}
    movement = strip(part, grade=Grade.GOOD, donor="B0003", **given)
    assert (movement.grade, movement.reference) == ("good", "B0003")
    assert standing(part) == (2, 0, D("7.50"))
    with pytest.raises(StockError, match="stock number of the bike"):
        strip(part, grade=Grade.GOOD, donor="", **given)
    with pytest.raises(StockError, match="Choose a grade"):
        strip(part, grade="shiny", donor="B0003", **given)


# counted


def test_a_count_is_compared_with_the_level_at_its_moment(by):
    part = stocked(10)
    take(part, 4, days=1)
    correction = count(part, counted=D(9), at=days_ago(2), by=by, key="c")
    assert correction.quantity == -1
    assert level(part).on_hand == 5


def test_a_count_that_agrees_books_nothing(by):
    assert count(stocked(3), counted=D(3), by=by, key="c") is None


def test_a_count_books_once(by):
    part = stocked(3)
    assert count(part, counted=D(1), by=by, key="c") == count(part, counted=D(1), by=by, key="c")
    assert level(part).on_hand == 1


def test_what_is_found_comes_in_at_the_average_or_at_the_cost_of_the_part(by):
    part = stocked(3, "2.00", cost_net=D(9))
    assert count(part, counted=D(5), by=by, key="c").value == 4
    empty = PartFactory.create(cost_net=D(9))
    assert count(empty, counted=D(2), by=by, key="d").value == 18


def test_a_count_that_contradicts_what_went_out_since_is_refused(by):
    part = stocked(3)
    take(part, 3, days=1)
    with pytest.raises(NotEnoughError, match="would have been there then"):
        count(part, counted=D(1), at=days_ago(2), by=by, key="c")


def test_a_count_below_what_is_reserved_says_for_whom(by):
    part = stocked(3)
    reserve(part, quantity=D(2), reference="Q0009", by=by, key="r")
    with pytest.raises(NotEnoughError, match="reserved for Q0009"):
        count(part, counted=D(1), by=by, key="c")


# booked late, taken back, costed otherwise


def corrections(part):
    return list(
        StockMovement.objects.filter(part=part, kind=MovementKind.REVALUATION).values_list(
            "corrects__kind", "value"
        )
    )


def test_goods_booked_late_put_right_what_was_drawn_since():
    """10@91, -5 = 455; 10@109 turn out to have come before: the average was 100."""
    part = PartFactory.create()
    come_in(part, 10, 91, days=5)
    drawn = take(part, 5, days=2)
    come_in(part, 10, 109, days=4)
    assert drawn.value == StockMovement.objects.get(pk=drawn.pk).value == -455
    assert corrections(part) == [("draw", -45)]
    assert standing(part) == (15, 0, 1500)


def test_what_came_back_is_put_right_with_its_draw(by):
    """All that was drawn came back: whatever is booked late, stock is worth what was paid."""
    part = PartFactory.create()
    come_in(part, 10, 91, days=5)
    drawn = take(part, 5, days=2)
    give_back(drawn, quantity=D(2), by=by, key="r1")
    come_in(part, 10, 109, days=4)
    assert corrections(part) == [("draw", -45), ("return", 18)]
    give_back(drawn, quantity=D(3), by=by, key="r2")
    assert standing(part) == (20, 0, 2000)


def test_what_came_back_follows_another_method_of_costing(by):
    part = PartFactory.create()
    come_in(part, 10, 91, days=5)
    come_in(part, 10, 109, days=4)
    give_back(take(part, 5, days=2), quantity=D(5), by=by, key="r")
    choose_method("fifo", by=by)
    assert standing(part) == (20, 0, 2000)


def test_goods_booked_late_make_room_for_a_draw_of_that_time():
    part = PartFactory.create()
    come_in(part, 10, 1, days=5)
    with pytest.raises(NotEnoughError):
        take(part, 1, days=6)
    come_in(part, 1, 1, days=7)
    take(part, 1, days=6)
    assert level(part).on_hand == 10


def test_a_movement_taken_back_never_was(by):
    part = PartFactory.create()
    come_in(part, 10, 91, days=5)
    wrong = come_in(part, 10, 109, days=4)
    take(part, 5, days=2)
    back = reverse_movement(wrong, reason="delivered next door", by=by, key="t")
    assert (back.quantity, back.value) == (-10, -1090)
    assert corrections(part) == [("draw", 45)]
    assert standing(part) == (5, 0, 455)
    assert reverse_movement(wrong, reason="again", by=by, key="t") == back


def test_a_draw_taken_back_brings_what_it_stands_at_by_now(by):
    part = PartFactory.create()
    come_in(part, 10, 91, days=5)
    drawn = take(part, 5, days=2)
    come_in(part, 10, 109, days=4)
    assert reverse_movement(drawn, reason="wrong bike", by=by, key="t").value == 500
    assert standing(part) == (20, 0, 2000)


def test_goods_that_were_drawn_since_cannot_be_taken_back(by):
    part = PartFactory.create()
    wrong = come_in(part, 3, days=5)
    take(part, 1, days=2)
    with pytest.raises(NotEnoughError, match="take that movement back"):
        reverse_movement(wrong, reason="never came", by=by, key="t")


def test_what_is_taken_back_is_so_once_and_with_a_reason(by):
    part = stocked(3)
    drawn = take(part, 2, days=1)
    with pytest.raises(StockError, match="why it is taken back"):
        reverse_movement(drawn, reason="", by=by, key="t")
    give_back(drawn, quantity=D(1), by=by, key="b")
    with pytest.raises(StockError, match="Take the return back first"):
        reverse_movement(drawn, reason="wrong", by=by, key="t")
    reverse_movement(StockMovement.objects.get(key="b"), reason="wrong", by=by, key="u")
    back = reverse_movement(drawn, reason="wrong", by=by, key="t")
    for gone in (drawn, back):
        with pytest.raises(StockError, match="taken back already"):
            reverse_movement(gone, reason="wrong", by=by, key="v")


def test_another_method_holds_for_the_past_as_well(by):
    part, other = PartFactory.create(), stocked(2)
    come_in(part, 10, 91, days=5)
    come_in(part, 15, 106, days=4)
    take(part, 20, days=3)
    assert choose_method(CostMethod.FIFO, by=by) == 1
    assert standing(part) == (5, 0, 530)
    assert choose_method(CostMethod.AVERAGE, by=by) == 1
    assert standing(part) == (5, 0, 500)
    assert level(other).value == 8
    assert choose_method(CostMethod.AVERAGE, by=by) == 0
