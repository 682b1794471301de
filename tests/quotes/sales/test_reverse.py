"""A purchase that was entered wrongly: reversed by a row of its own, and entered anew or not."""

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse

from quotes.buyin.models import Decision, MarginCheck
from quotes.buyin.verbs.decide import DecisionError
from quotes.core.periods import Period
from quotes.pool.models import PoolEntry
from quotes.pool.selectors import entries_in, stands_in_pool
from quotes.pool.verbs.reverse import reverse_entry
from quotes.sales.errors import SalesError
from quotes.sales.models import Purchase, Reversal
from quotes.sales.selectors.book import Days, book_of
from quotes.sales.selectors.learning import learned_page
from quotes.sales.selectors.period import vat_aid
from quotes.sales.selectors.standing import check_to_enter, is_ours, stock_of
from quotes.sales.sheet import book_html
from quotes.sales.verbs.sell import sell
from tests.factories import jobcards
from tests.factories.bikes import BikeFactory
from tests.factories.people import sign_in
from tests.factories.pool import british_pool, entry
from tests.factories.sales import (
    bought,
    deal,
    decided,
    in_stock,
    returned,
    reversed_,
    sold,
    trading_shop,
)
from workshop.bikes.models import Bike, Stage
from workshop.bikes.verbs.stages import StageError, move_to, step_back

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]
ALL = Days()
EARLY = Days(dt.date(2026, 1, 1), dt.date(2026, 3, 31))
TODAY = dt.date(2026, 5, 20)


# entering it anew


def test_it_is_entered_anew_from_the_same_decision():
    row = bought(price="600")
    made = reversed_(row, reason="£500 was paid")
    assert (made.reversed_on, made.reason, made.still_bought) == (TODAY, "£500 was paid", True)
    bike = Bike.objects.get()
    assert (bike.stage, stock_of(bike), check_to_enter(bike)) == (
        Stage.BOUGHT,
        None,
        row.check_made,
    )
    assert is_ours(bike)
    again = bought(check=row.check_made, price="500")
    assert (again.number, again.receipt_no, again.price) == ("S0002", "PR0002", 500)
    assert (stock_of(bike), check_to_enter(bike)) == (again, None)


def test_what_was_entered_stays():
    row = bought(price="600")
    reversed_(row)
    kept = Purchase.objects.get(pk=row.pk)
    assert (kept.price, kept.number, kept.seller.name) == (600, "S0001", "Ada Moss")
    assert kept.paper.pdf


# it was not bought


def test_not_bought_it_stands_where_it_stood_before_and_the_decision_is_open():
    bike = BikeFactory.create(stage=Stage.SENT)
    row = bought(check=decided(bike))
    reversed_(row, reason="the seller changed her mind", still_bought=False)
    check = MarginCheck.objects.get()
    assert check.decision == Decision.OPEN
    assert check.decision_note == "Purchase S0001 reversed: the seller changed her mind"
    assert [each.decision for each in check.history.all()] == ["open", "buy", "open"]
    bike.refresh_from_db()
    assert (bike.stage, is_ours(bike)) == (Stage.SENT, False)


def test_quoted_since_it_stays_where_that_brought_it():
    row = bought()
    move_to(Bike.objects.get(), Stage.QUOTED)
    reversed_(row, still_bought=False)
    assert Bike.objects.get().stage == Stage.QUOTED


def test_a_bike_that_stood_nowhere_else_does_not_step_back():
    with pytest.raises(StageError, match="not known where"):
        step_back(BikeFactory.create(stage=Stage.BOUGHT))


def test_a_bike_in_stock_is_not_left_but_reversed():
    row = bought()
    with pytest.raises(DecisionError, match=r"as S0001\. If it was not bought, reverse"):
        decided(row.bike, decision=Decision.LEAVE)
    reversed_(row, still_bought=False)
    decided(row.bike, decision=Decision.LEAVE)
    assert Bike.objects.get().stage == Stage.LEFT


# what stands in the way


def test_a_sold_bike_names_its_invoice():
    sale = sold()
    with pytest.raises(SalesError, match="sold with invoice SI0001"):
        reversed_(sale.purchase)
    returned(sale)
    with pytest.raises(SalesError, match="taken back with credit note CN0001"):
        reversed_(sale.purchase)
    assert not Reversal.objects.exists()


def test_work_on_it_names_the_job_card():
    walk = jobcards.own_bike()
    row = bought(check=decided(walk.bike))
    card = jobcards.a_card(inspection=walk)
    with pytest.raises(SalesError, match=f"Job card {card} was opened"):
        reversed_(row)


def test_work_before_it_was_bought_does_not_hang_on_it():
    walk = jobcards.own_bike()
    card = jobcards.a_card(inspection=walk)
    type(card).objects.filter(pk=card.pk).update(opened_at="2026-01-04T10:00:00Z")
    Bike.objects.update(stage=Stage.BOUGHT)
    assert reversed_(bought(check=decided(walk.bike))).pk


def test_it_needs_a_reason_and_happens_once():
    row = bought()
    with pytest.raises(SalesError, match="Say what"):
        reversed_(row, reason=" ")
    reversed_(row)
    with pytest.raises(SalesError, match="reversed already"):
        reversed_(row)


def test_a_reversed_purchase_is_not_sold():
    row = in_stock()
    reversed_(row)
    with pytest.raises(SalesError, match="was reversed: sell the bike from the row"):
        sell(row, deal(), by=row.by, shop=trading_shop())


# the book, the VAT aid, what is learned


def test_the_book_takes_the_price_back_on_its_day_and_says_why():
    row = bought(price="600")
    reversed_(row, reason="£500 was paid")
    first, second = book_of(ALL).rows
    assert (first.purchase_price, first.remark) == (600, "reversed on 20 May 2026")
    assert (second.purchase_price, second.number, second.price) == (-600, "S0001", None)
    assert second.remark.endswith("on 20 May 2026: £500 was paid")
    assert str(Reversal.objects.get().by) in second.remark
    assert book_of(ALL).sums.purchase_price == 0


def test_the_book_of_days_before_stays_as_it_was():
    row = bought(price="600")
    before = book_of(EARLY)
    reversed_(row)
    assert book_of(EARLY) == before
    (later,) = book_of(Days(dt.date(2026, 4, 1), TODAY)).rows
    assert later.purchase_price == -600


def test_the_printed_book_has_it():
    reversed_(bought(), reason="wrong seller")
    text = book_html(book_of(ALL), vat_aid(ALL), trading_shop())
    assert "wrong seller" in text
    assert "reversed on 20 May 2026" in text


def test_the_vat_return_counts_it_once():
    row = bought(price="600", seller_invoice="77", vat_shown=True)
    reversed_(row)
    bought(check=row.check_made, price="480", seller_invoice="77", vat_shown=True)
    (kind,) = vat_aid(ALL).kinds
    assert (kind.bought, kind.purchases, kind.input_vat) == (1, 480, 80)
    assert vat_aid(ALL).boxes.box_7 == 400


def test_what_is_learned_rests_on_the_purchase_that_holds(shop):
    row = bought(price="600")
    reversed_(row)
    again = in_stock(check=row.check_made, price="500")
    sold(again, price="900")
    (only,) = learned_page(shop).rows
    assert only.sale.purchase == again
    assert only.sale.margin == 400


# global accounting


def test_the_pool_takes_it_back_too():
    british_pool()
    row = bought(price="400", pooled=True)
    made = reversed_(row)
    assert (made.pool_entry.reverses, made.pool_entry.amount) == (row.pool_entry, -400)
    assert not stands_in_pool(row.bike)
    bought(check=row.check_made, price="350", pooled=True)
    amounts = entries_in(Period(dt.date(2026, 1, 1), dt.date(2026, 3, 31)))
    assert sum(each.amount for each in amounts) == 350


def test_what_was_taken_back_in_the_pool_by_hand_is_not_taken_back_twice():
    british_pool()
    row = bought(price="400", pooled=True)
    by_hand = reverse_entry(row.pool_entry, reason="a slip", by=row.by)
    assert reversed_(row).pool_entry == by_hand
    assert PoolEntry.objects.count() == 2


def test_what_left_the_pool_otherwise_stands_in_the_way():
    british_pool()
    row = bought(price="400", pooled=True)
    entry("leaving", "2026-03-05", "400", bike=row.bike)
    with pytest.raises(SalesError, match="went out of the pool later"):
        reversed_(row)
    assert not Reversal.objects.exists()


# pages


def test_from_the_row_to_entering_it_anew(client):
    row = bought(price="600")
    sign_in(client, manager=True)
    address = reverse("sales:reverse", args=(row.number,))
    assert address in client.get(reverse("sales:row", args=(row.number,))).content.decode()
    assert client.post(address, {"reason": ""}).status_code == 422
    answer = client.post(address, {"reason": "wrong price", "still_bought": "yes"})
    assert answer.url == reverse("sales:buy", args=(row.bike_id,))
    form = client.get(answer.url).context["form"].initial
    assert (form["price"], form["bought_on"], form["seller_name"]) == (
        600,
        row.bought_on,
        "Ada Moss",
    )
    page = client.get(reverse("sales:row", args=(row.number,))).content.decode()
    assert "wrong price" in page
    assert "Reversed on 20 May 2026" in page
    assert address not in page
    assert "“bought in”, not released" not in page
    sell_it = client.get(reverse("sales:sell", args=(row.number,)), follow=True)
    assert "S0001 was reversed already" in sell_it.content.decode()


def test_what_stands_in_the_way_is_said_before_anything_is_asked(client):
    sale = sold()
    sign_in(client, manager=True)
    page = client.get(reverse("sales:reverse", args=(sale.purchase.number,))).content.decode()
    assert "sold with invoice SI0001" in page
    assert 'name="reason"' not in page


def test_the_list_and_the_bikes_page_say_that_it_is_reversed(client):
    row = bought()
    reversed_(row, still_bought=False)
    sign_in(client, manager=True)
    rows = client.get(reverse("sales:list"), {"stands": "reversed"}).content.decode()
    assert "reversed</span>" in rows
    assert (
        "reversed on 20 May 2026"
        in client.get(reverse("bikes:detail", args=(row.bike_id,))).content.decode()
    )
    for other in ("stock", "sold"):
        found = client.get(reverse("sales:list"), {"stands": other}).content.decode()
        assert row.number not in found


def test_the_file_of_the_book_has_the_remark(client):
    reversed_(bought(), reason="wrong seller")
    sign_in(client, accountant=True)
    answer = client.get(reverse("sales:book"), {"first": "", "export": "csv"})
    assert "wrong seller" in b"".join(answer).decode()


def test_reading_the_book_costs_the_same_with_reversals(django_assert_max_num_queries):
    for _ in range(2):
        reversed_(bought())
    with django_assert_max_num_queries(2):
        book_of(ALL)
    for _ in range(3):
        reversed_(bought())
    with django_assert_max_num_queries(2):
        assert book_of(ALL).sums.purchase_price == Decimal(0)
