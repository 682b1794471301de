"""Applying a price list: all of it or nothing, prices superseded and never changed."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.pricelists.models import CostRule, Incoming, ReadRow, State
from inventory.pricelists.verbs import apply as applying
from inventory.pricelists.verbs.apply import CannotApplyError, ChangedSinceError, apply
from inventory.pricelists.verbs.discard import discard
from inventory.pricelists.verbs.settle import NotOpenError
from inventory.suppliers.models import PriceList, SupplierPart
from inventory.suppliers.verbs.match import match
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.suppliers import DAY, ArticleFactory, SupplierFactory, csv_of, read

pytestmark = pytest.mark.django_db


@pytest.fixture
def supplier():
    return SupplierFactory.create()


@pytest.fixture
def person():
    return UserFactory.create(manager=True)


def put(supplier, person, rows, *, leave_wrong=False, jumps="", currency="GBP", **facts):
    incoming = read(supplier, csv_of(rows), **facts)
    assert incoming.state == State.READ, incoming.message
    return apply(incoming, by=person, currency=currency, leave_wrong=leave_wrong, jumps=jumps)


def holding(supplier):
    rows = SupplierPart.objects.filter(supplier=supplier, valid_until=None).order_by("code")
    return {each.code: each for each in rows}


def test_new_articles_begin_and_changed_ones_are_superseded(supplier, person):
    same = ArticleFactory.create(supplier=supplier, code="S", name="Same", list_price_net=5)
    old = ArticleFactory.create(supplier=supplier, code="D", name="Dear", list_price_net=10)
    gone = ArticleFactory.create(supplier=supplier, code="G")
    other = ArticleFactory.create(code="G")
    rows = [("S", "Same", 5, "", "", ""), ("D", "Dear", 12, "", "", ""), ("N", "New", 7, "", 2, 50)]
    made = put(supplier, person, rows)
    assert (made.added, made.changed, made.ended) == (1, 1, 1)
    now = holding(supplier)
    assert set(now) == {"S", "D", "N"}
    assert now["S"].pk == same.pk
    assert (now["D"].cost_net, now["D"].price_list, now["D"].valid_from) == (12, made, DAY)
    new = now["N"]
    assert (new.list_price_net, new.discount, new.cost_net) == (7, Decimal("0.5"), Decimal("3.5"))
    assert (new.pack, new.unit_cost_net, new.currency) == (2, Decimal("1.75"), "GBP")
    for each in (old, gone, other):
        each.refresh_from_db()
    assert (old.valid_until, old.list_price_net) == (DAY, 10)
    assert gone.valid_until == DAY
    assert other.valid_until is None


def test_a_list_of_part_of_the_range_ends_nothing(supplier, person):
    kept = ArticleFactory.create(supplier=supplier, code="K")
    assert put(supplier, person, [("N", "New", 7, "", "", "")], whole_range=False).ended == 0
    kept.refresh_from_db()
    assert kept.valid_until is None


def test_an_article_in_a_wrong_row_is_not_taken_for_vanished(supplier, person):
    kept = ArticleFactory.create(supplier=supplier, code="K")
    rows = [("N", "New", 7, "", "", ""), ("K", "Kept", "on request", "", "", "")]
    with pytest.raises(CannotApplyError, match="wrong in 1 rows"):
        put(supplier, person, rows)
    assert not PriceList.objects.exists()
    assert put(supplier, person, rows, leave_wrong=True).ended == 0
    kept.refresh_from_db()
    assert kept.valid_until is None


def test_suspicious_jumps_are_taken_or_left_as_chosen(supplier, person):
    ArticleFactory.create(supplier=supplier, code="J", name="Jump", list_price_net=10)
    rows = [("J", "Jump", 100, "", "", "")]
    with pytest.raises(CannotApplyError, match="suspicious"):
        put(supplier, person, rows)
    put(supplier, person, rows, jumps="leave")
    assert holding(supplier)["J"].cost_net == 10
    put(supplier, person, rows, jumps="take")
    assert holding(supplier)["J"].cost_net == 100


def test_a_list_compared_with_other_prices_is_refused(supplier, person):
    article = ArticleFactory.create(supplier=supplier, code="D", list_price_net=10)
    incoming = read(supplier, csv_of([("D", "Dear", 12, "", "", "")]))
    match(article, PartFactory.create())
    with pytest.raises(ChangedSinceError, match="Read it again"):
        apply(incoming, by=person, currency="GBP")
    assert holding(supplier)["D"].cost_net == 10


def test_two_lists_read_side_by_side_are_not_both_applied(supplier, person):
    first, second = (read(supplier, csv_of([(code, "N", 1, "", "", "")])) for code in "AB")
    apply(first, by=person, currency="GBP")
    with pytest.raises(ChangedSinceError):
        apply(second, by=person, currency="GBP")
    assert set(holding(supplier)) == {"A"}


def test_what_is_applied_or_discarded_is_neither_applied_nor_discarded_again(supplier, person):
    incoming = read(supplier, csv_of([("A", "N", 1, "", "", "")]))
    apply(incoming, by=person, currency="GBP")
    for verb in (lambda: apply(incoming, by=person, currency="GBP"), lambda: discard(incoming)):
        with pytest.raises(NotOpenError):
            verb()
    assert not ReadRow.objects.exists()


def test_a_list_that_is_not_read_to_its_end_is_refused(supplier, person):
    incoming = read(supplier, csv_of([("A", "N", 1, "", "", "")]))
    Incoming.objects.update(state=State.READING)
    with pytest.raises(CannotApplyError, match="not read to its end"):
        apply(incoming, by=person, currency="GBP")


def test_a_list_from_before_the_prices_that_hold_is_refused(supplier, person):
    ArticleFactory.create(supplier=supplier, valid_from=dt.date(2026, 6, 1))
    with pytest.raises(CannotApplyError, match="later day"):
        put(supplier, person, [("A", "N", 1, "", "", "")])


def test_whatever_fails_while_applying_leaves_nothing_applied(supplier, person, monkeypatch):
    old = ArticleFactory.create(supplier=supplier, code="D", list_price_net=10)
    incoming = read(supplier, csv_of([("D", "Dear", 12, "", "", ""), ("N", "New", 1, "", "", "")]))

    def fail(*_args, **_kwargs):
        raise RuntimeError

    monkeypatch.setattr(applying, "take_costs", fail)
    with pytest.raises(RuntimeError):
        apply(incoming, by=person, currency="GBP")
    assert list(SupplierPart.objects.all()) == [old]
    assert holding(supplier)["D"].cost_net == 10
    incoming.refresh_from_db()
    assert incoming.state == State.READ


# our parts


def matched(supplier, code="P", **facts):
    part = PartFactory.create(cost_net=Decimal(10), **facts)
    ArticleFactory.create(supplier=supplier, code=code, part=part, list_price_net=10)
    return part


def test_a_matched_part_takes_the_cost_of_one_piece_with_history(supplier, person):
    part = matched(supplier, price_net=Decimal(25))
    put(supplier, person, [("P", "Part", 48, "", 4, "")])
    part.refresh_from_db()
    assert (part.cost_net, part.price_net) == (12, 25)
    last = part.history.first()
    assert (last.cost_net, last.history_user) == (12, person)
    assert supplier.name in last.history_change_reason
    assert holding(supplier)["P"].part == part


def test_the_range_of_a_cost_gives_way(supplier, person):
    part = matched(supplier, cost_low_net=Decimal(8), cost_high_net=Decimal(11))
    put(supplier, person, [("P", "Part", 12, "", "", "")])
    part.refresh_from_db()
    assert (part.cost_low_net, part.cost_net, part.cost_high_net) == (8, 12, 12)


@pytest.mark.parametrize(
    ("rule", "currency", "rival", "cost"),
    [
        (CostRule.ALL, "GBP", 9, 11),
        (CostRule.NONE, "GBP", 9, 10),
        (CostRule.ALL, "EUR", 9, 10),
        (CostRule.CHEAPEST, "GBP", 9, 10),
        (CostRule.CHEAPEST, "GBP", 12, 11),
    ],
)
def test_costs_follow_the_rule(supplier, person, rule, currency, rival, cost):
    part = matched(supplier)
    ArticleFactory.create(part=part, list_price_net=rival)
    rows = [("P", "Part", 11, "", "", "")]
    put(supplier, person, rows, cost_rule=rule, currency=currency)
    part.refresh_from_db()
    assert part.cost_net == cost


def test_new_articles_are_matched_by_gtin(supplier, person):
    part = PartFactory.create(gtin="4006381333931", cost_net=Decimal(3))
    PartFactory.create(gtin="")
    put(supplier, person, [("N", "New", 4, "4006381333931", "", ""), ("M", "More", 4, "", "", "")])
    now = holding(supplier)
    assert (now["N"].part, now["M"].part) == (part, None)
    part.refresh_from_db()
    assert part.cost_net == 4


def test_applying_runs_a_constant_number_of_queries(supplier, person):
    few, many = (
        counted(
            read(supplier, csv_of((f"{size}-{n}", "N", 1, "", "", "") for n in range(size))), person
        )
        for size in (2, 400)
    )
    assert few == many


def counted(incoming, person):
    with CaptureQueriesContext(connection) as queries:
        apply(incoming, by=person, currency="GBP")
    return len(queries)
