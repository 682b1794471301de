"""The verbs of purchasing: what each does, what it refuses, and that nothing is booked twice."""

import datetime as dt
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.parts.models import Part
from inventory.purchasing.errors import OverDeliveryError, PurchaseError
from inventory.purchasing.models import (
    Delivery,
    DeliveryLine,
    OrderDocument,
    PurchaseLine,
    PurchaseOrder,
    State,
)
from inventory.purchasing.offers import guessed, offer_of
from inventory.purchasing.selectors import lines_of, order_page, total_net
from inventory.purchasing.standing import in_drafts, on_order
from inventory.purchasing.verbs.add_article import add_article
from inventory.purchasing.verbs.change_draft import LineChange, change_draft
from inventory.purchasing.verbs.close import close
from inventory.purchasing.verbs.discard import discard
from inventory.purchasing.verbs.make_drafts import Pick, make_drafts
from inventory.purchasing.verbs.place import place
from inventory.purchasing.verbs.receive import Came, Note, receive
from inventory.purchasing.verbs.reopen import reopen
from inventory.purchasing.verbs.take_minimum import take_minimum
from inventory.stock.models import StockLevel, StockMovement
from inventory.stock.verbs.reverse import reverse_movement
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.purchasing import came, drafted, ordered, sold
from tests.factories.shop import ShopFactory
from tests.factories.stock import a_key, take
from tests.factories.suppliers import SupplierFactory

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture(autouse=True)
def _printed_quickly(monkeypatch):
    """What a PDF looks like is tested with the paper."""
    monkeypatch.setattr("inventory.paper.press.pdf_of", lambda html: b"%PDF " + html.encode()[:9])


@pytest.fixture(autouse=True)
def _ledger_proves_the_levels(db):
    """Whatever a test does, the check finds nothing wrong afterwards."""
    yield
    call_command("check_stock", verbosity=0)


@pytest.fixture
def by():
    return UserFactory.create()


def there(part):
    level = StockLevel.objects.get(part=part)
    return level.on_hand, level.value


def pick(article, packs=1):
    return Pick(article.part, offer_of(article), packs)


def the_part(order):
    return order.lines.get().part


# drafts


def test_picks_become_a_draft_for_each_supplier(by):
    one, two = SupplierFactory.create_batch(2)
    picks = [pick(sold(supplier=each)) for each in (one, two, one)]
    made = make_drafts(picks, by=by, key="k")
    assert [(each.supplier, each.lines.count()) for each in made] == [(one, 2), (two, 1)]
    assert {each.state for each in made} == {State.DRAFT}


def test_the_same_picks_sent_twice_are_drafted_once(by):
    picks = [pick(sold()), pick(sold())]
    assert make_drafts(picks, by=by, key="k") == make_drafts(picks, by=by, key="k")
    assert PurchaseLine.objects.count() == 2


def test_a_suppliers_draft_is_added_to(by):
    first = sold()
    draft = drafted(first)
    (made,) = make_drafts([pick(sold(supplier=first.supplier))], by=by, key="k")
    assert made == draft
    assert draft.lines.count() == 2


def test_nothing_and_no_packs_are_refused(by):
    with pytest.raises(PurchaseError, match="Nothing is ticked"):
        make_drafts([], by=by, key="k")
    with pytest.raises(PurchaseError, match="0 packs can't be ordered"):
        make_drafts([pick(sold(), 0)], by=by, key="k")
    assert not PurchaseOrder.objects.exists()


def test_a_part_in_no_price_list_is_drafted_at_its_own_cost(by):
    part = PartFactory.create(cost_net=D("1.25"), pack_size=10)
    home, abroad = SupplierFactory.create(), SupplierFactory.create(currency="EUR")
    assert guessed(part, home, "GBP").pack_cost_net == D("12.50")
    assert guessed(part, abroad, "GBP").pack_cost_net == 0
    (made,) = make_drafts([Pick(part, guessed(part, home, "GBP"), 2)], by=by, key="k")
    assert total_net(made) == 25


def test_a_draft_is_changed_and_a_line_with_no_packs_taken_out():
    first = sold(price="3.335")
    draft = drafted(first, sold(supplier=first.supplier))
    keep, drop = lines_of(draft)
    change_draft(
        draft, [LineChange(keep, 3, D("3.335")), LineChange(drop, 0)], note=" Please hurry. "
    )
    draft.refresh_from_db()
    assert draft.note == "Please hurry."
    assert [(x.packs, x.amount_net) for x in lines_of(draft)] == [(3, D("10.01"))]  # half up
    with pytest.raises(PurchaseError, match="no longer stands"):
        change_draft(draft, [LineChange(drop, 1)], note="")
    with pytest.raises(PurchaseError, match="packs from 0"):
        change_draft(draft, [LineChange(keep, -1)], note="")


def test_an_article_is_added_once():
    first = sold()
    draft, more = drafted(first), sold(supplier=first.supplier)
    assert add_article(draft, more, packs=4, key="k") == add_article(draft, more, packs=4, key="k")
    assert draft.lines.count() == 2


def test_only_what_the_supplier_sells_and_we_know_is_added():
    draft = drafted(sold())
    with pytest.raises(PurchaseError, match="does not sell"):
        add_article(draft, sold(), packs=1, key="k")
    unmatched = sold(supplier=draft.supplier)
    unmatched.part = None
    with pytest.raises(PurchaseError, match="not matched"):
        add_article(draft, unmatched, packs=1, key="k")


def test_a_draft_is_thrown_away():
    draft = drafted(sold())
    discard(draft)
    assert not PurchaseOrder.objects.exists()


# ordered


def test_an_order_is_numbered_dated_and_kept_as_paper(by):
    article = sold(supplier=SupplierFactory.create(lead_days=3, terms="30 days", own_number="77"))
    order = ordered(article, by=by)
    assert (order.number, order.state, order.ordered_by) == ("P0001", State.ORDERED, by)
    assert (order.supplier_name, order.terms, order.own_number) == (
        article.supplier.name, "30 days", "77",
    )  # fmt: skip
    assert order.expected_on > timezone.localdate() + dt.timedelta(days=2)
    assert bytes(OrderDocument.objects.get().pdf).startswith(b"%PDF")
    assert ordered().number == "P0002"


def test_an_order_is_placed_once(by):
    order = ordered()
    assert place(order, by=by, shop=ShopFactory.create()).number == order.number
    assert OrderDocument.objects.count() == 1


def test_an_empty_draft_is_not_ordered_and_takes_no_number(by):
    draft = drafted(sold())
    change_draft(draft, [LineChange(draft.lines.get(), 0)], note="")
    with pytest.raises(PurchaseError, match="Nothing stands"):
        place(draft, by=by, shop=ShopFactory.create())
    assert ordered().number == "P0001"


@pytest.mark.parametrize(("packs", "carriage"), [(9, D("7.50")), (10, None)])
def test_carriage_is_free_from_the_threshold_on(packs, carriage):
    supplier = SupplierFactory.create(carriage_free_net=100, carriage_net=D("7.50"))
    assert ordered(sold(supplier=supplier, price=10), packs=packs).carriage_net == carriage


def test_what_was_ordered_is_not_changed_nor_thrown_away():
    order = ordered()
    for verb in (
        lambda: change_draft(order, [], note="x"),
        lambda: discard(order),
        lambda: add_article(order, sold(supplier=order.supplier), packs=1, key="k"),
    ):
        with pytest.raises(PurchaseError, match="P0001 has been ordered"):
            verb()


# goods in


def test_part_deliveries_book_stock_until_all_has_come():
    part = PartFactory.create()
    order = ordered(sold(part, "10.00", pack=5), packs=2)
    came(order, 4)
    order.refresh_from_db()
    assert order.state == State.PART_DELIVERED
    assert there(part) == (4, 8)
    assert on_order([part.pk]) == {part.pk: 6}
    came(order, 6)
    order.refresh_from_db()
    assert (order.state, order.close_reason) == (State.CLOSED, "")
    assert there(part) == (10, 20)
    assert on_order([part.pk]) == {}
    assert set(StockMovement.objects.values_list("reference", flat=True)) == {"P0001"}


def test_another_price_flows_into_the_cost_and_is_told():
    part = PartFactory.create()
    order = ordered(sold(part, "10.00", pack=3), packs=2)
    came(order, 6, price="10.50")
    assert there(part) == (6, 21)
    page = order_page(order)
    assert page.dearer_net == 1
    (shown,) = page.deliveries
    assert shown.rows[0].row.dearer_net == 1


def test_a_pack_that_does_not_divide_costs_what_it_cost():
    part = PartFactory.create()
    came(ordered(sold(part, "10.00", pack=3), packs=1), 3)
    assert there(part) == (3, 10)


def test_a_foreign_price_is_booked_at_the_rate_of_the_day():
    part = PartFactory.create()
    euro = SupplierFactory.create(currency="EUR")
    order = ordered(sold(part, "20.00", supplier=euro), packs=2)
    assert order.currency == "EUR"
    came(order, 2, rate=D("0.8555"))
    assert there(part) == (2, D("34.22"))


def test_goods_of_a_past_day_are_booked_on_that_day(monkeypatch):
    past = timezone.now() - dt.timedelta(days=4)
    with monkeypatch.context() as patched:
        patched.setattr(timezone, "now", lambda: past)
        order = ordered()
    day = timezone.localdate() - dt.timedelta(days=2)
    came(order, 1, came_on=day)
    assert timezone.localtime(StockMovement.objects.get().at).date() == day


@pytest.mark.parametrize("days", [-1, 1])
def test_goods_come_neither_before_they_were_ordered_nor_tomorrow(days):
    order = ordered()
    with pytest.raises(PurchaseError, match="from then up to today"):
        came(order, 1, came_on=timezone.localdate() + dt.timedelta(days=days))


def test_more_than_was_ordered_wants_a_reason():
    part = PartFactory.create(name="Inner tube")
    article = sold(part, name="Inner tube")
    order = ordered(article, sold(supplier=article.supplier), packs=2)
    with pytest.raises(OverDeliveryError, match="Inner tube: 3 more"):
        came(order, 5, 1)
    assert not StockMovement.objects.exists()
    came(order, 5, 1, over_reason="a gift")
    assert [x.over_reason for x in DeliveryLine.objects.all()] == ["a gift", ""]
    assert on_order([part.pk])[part.pk] == 0


def test_one_key_is_one_delivery(by):
    order = ordered(packs=5)
    assert came(order, 2, key="k") == came(order, 2, key="k")
    assert there(the_part(order))[0] == 2
    with pytest.raises(PurchaseError, match="Something else has been booked"):
        came(order, 1, key="k")
    with pytest.raises(PurchaseError, match="Something else"):
        came(ordered(), 2, key="k")


def test_the_key_holds_after_the_order_has_closed():
    order = ordered(packs=2)
    assert came(order, 2, key="k") == came(order, 2, key="k")
    assert Delivery.objects.count() == 1


def test_what_cannot_be_booked_leaves_nothing(by):
    order = ordered(packs=5)
    line = order.lines.get()
    for rows, note, words in (
        ([], Note(), "Nothing came"),
        ([Came(line, D("0.005"))], Note(), "two decimals"),
        ([Came(line, D(-1))], Note(), "above 0"),
        ([Came(line, D(1), D(-1))], Note(), "never below zero"),
        ([Came(line, D(1))], Note(rate=D(0)), "above 0"),
        ([Came(ordered().lines.get(), D(1))], Note(), "not ordered with P0001"),
    ):
        with pytest.raises(PurchaseError, match=words):
            receive(order, rows, note, by=by, key=a_key())
    assert not Delivery.objects.exists()
    assert not StockMovement.objects.exists()


def test_nothing_comes_in_for_a_draft_or_an_order_that_ended(by):
    draft = drafted(sold())
    with pytest.raises(PurchaseError, match="nothing comes in"):
        came(draft, 1)
    order = close(ordered(), reason="twice", by=by)
    with pytest.raises(PurchaseError, match="is cancelled"):
        came(order, 1)


# ending


def test_an_order_of_which_nothing_came_is_cancelled(by):
    order = ordered()
    with pytest.raises(PurchaseError, match="Write why"):
        close(order, reason=" ", by=by)
    assert close(order, reason="ordered twice", by=by).state == State.CANCELLED
    assert on_order([the_part(order).pk]) == {}
    with pytest.raises(PurchaseError, match="ended by hand"):
        reopen(order, by=by)


def test_the_rest_of_an_order_is_closed(by):
    order = ordered(packs=5)
    came(order, 2)
    ended = close(order, reason="out of stock", by=by)
    assert (ended.state, ended.closed_by) == (State.CLOSED, by)
    assert on_order([the_part(order).pk]) == {}
    with pytest.raises(PurchaseError, match="ended by hand"):
        reopen(order, by=by)


def test_goods_taken_back_are_to_come_again(by):
    order = ordered(packs=5)
    delivery = came(order, 5)
    movement = delivery.lines.get().movement
    reverse_movement(movement, reason="wrong parcel", by=by, key=a_key())
    assert order_page(PurchaseOrder.objects.get()).can_reopen
    assert reopen(order, by=by).state == State.ORDERED
    assert on_order([the_part(order).pk]) == {the_part(order).pk: 5}
    came(order, 3)
    assert reopen(order, by=by).state == State.PART_DELIVERED


# the minimum


def test_reorder_points_become_minimums_with_their_history(by):
    one, two = PartFactory.create(minimum=3), PartFactory.create(minimum=4)
    assert take_minimum({one.pk: 5, two.pk: 4}, by=by) == 1
    assert [each.minimum for each in Part.objects.order_by("pk")] == [5, 4]
    assert one.history.first().history_change_reason == "reorder point"
    with pytest.raises(PurchaseError, match="lies between"):
        take_minimum({one.pk: -1}, by=by)


# nothing is lost between ordered and come

STEPS = st.lists(
    st.tuples(
        st.sampled_from(["order", "come", "come", "back", "close", "reopen", "draw"]),
        st.integers(0, 3),
        st.integers(1, 6),
    ),
    min_size=1,
    max_size=14,
)


def do(step, articles, by):
    """Do a step as far as the orders let it."""
    what, which, many = step
    orders = list(PurchaseOrder.objects.exclude(state=State.DRAFT).order_by("pk"))
    order = orders[which % len(orders)] if orders else None
    if what == "order":
        ordered(*articles, packs=many, by=by)
    elif what == "draw":
        take(articles[0].part, many, by=by)
    elif order is None:
        return
    elif what == "come":
        came(order, many, many, by=by, over_reason="a gift" if which % 2 else "")
    elif what == "back" and (row := DeliveryLine.objects.order_by("pk").last()):
        reverse_movement(row.movement, reason="wrong", by=by, key=a_key())
    elif what == "close":
        close(order, reason="enough", by=by)
    elif what == "reopen":
        reopen(order, by=by)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=STEPS)
def test_ordered_is_come_and_still_to_come_and_given_up(db, steps):
    """For each line, whatever comes, is taken back, closed and opened again in whatever order."""
    from django.db import transaction

    from inventory.stock.errors import StockError

    with transaction.atomic():
        by = UserFactory.create()
        first = sold()
        articles = (first, sold(supplier=first.supplier, pack=2))
        for step in steps:
            try:
                do(step, articles, by)
            except (PurchaseError, StockError):
                continue
        for article in articles:
            lines = PurchaseLine.objects.filter(part=article.part).select_related("order")
            rows = [row for x in lines for row in order_page(x.order).rows if row.line == x]
            kept = DeliveryLine.objects.filter(line__in=lines, movement__reversal__isnull=True)
            assert sum(row.came for row in rows) == sum(each.quantity for each in kept)
            expected = sum(row.to_come for row in rows if row.line.order.is_open)
            assert on_order([article.part_id]).get(article.part_id, 0) == expected
            for row in rows:
                over = max(row.came - row.line.pieces, D(0))
                assert row.line.pieces + over == row.came + row.to_come
        assert in_drafts([each.part_id for each in articles]) == {}
        transaction.set_rollback(True)
