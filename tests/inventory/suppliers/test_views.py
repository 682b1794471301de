"""Pages about suppliers: list, detail, entering, changing, articles, matching."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from inventory.suppliers.models import Supplier, SupplierPart
from inventory.suppliers.verbs.match import NoLongerSoldError, match
from tests.asking import assert_only_who_may_sees_costs, queries_of
from tests.factories.parts import PartFactory
from tests.factories.people import sign_in
from tests.factories.shop import ShopFactory
from tests.factories.suppliers import ArticleFactory, SupplierFactory

pytestmark = pytest.mark.django_db

LIST, NEW = reverse("suppliers:list"), reverse("suppliers:new")


@pytest.fixture
def manager(client):
    ShopFactory.create()
    client.person = sign_in(client, manager=True)
    return client


def at(name, record):
    return reverse(f"suppliers:{name}", args=(record.pk,))


def typed(**more):
    return {
        "name": "Spokes & Sons",
        "currency": "gbp",
        "carriage_free_net": "£150",
        "carriage_net": "6,50",
        "lead_days": "3",
        "terms": "30 days net",
        "own_number": "C-77",
        "active": "on",
    } | more


def test_a_supplier_is_entered_and_shown(manager):
    answer = manager.post(NEW, typed(), follow=True)
    made = Supplier.objects.get()
    assert (made.currency, made.carriage_free_net, made.lead_days) == ("GBP", 150, 3)
    assert made.carriage_net == Decimal("6.5")
    text = answer.content.decode()
    for words in ("Spokes &amp; Sons", "£150.00", "3 working days", "30 days net", "C-77"):
        assert words in text


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"name": ""}, "required"),
        ({"name": "WHEELRIGHT"}, "supplier of this name already"),
        ({"currency": "XXZ"}, "is no currency"),
        ({"currency": "EUR"}, "names another currency"),
        ({"lead_days": "400"}, "365 at most"),
        ({"carriage_net": "-1"}, "below zero"),
    ],
)
def test_what_cannot_be_is_refused(manager, wrong, words):
    SupplierFactory.create(name="Wheelright")
    answer = manager.post(NEW, typed(**wrong))
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert Supplier.objects.count() == 1


def test_a_change_stands_in_the_history(manager):
    made = SupplierFactory.create()
    manager.post(at("edit", made), typed(lead_days="9"))
    made.refresh_from_db()
    assert made.lead_days == 9
    text = manager.get(at("history", made)).content.decode()
    assert "lead time: 3 → 9" in text
    assert str(manager.person) in text


def test_the_currency_stays_while_there_are_prices_in_it(manager):
    made = ArticleFactory.create().supplier
    answer = manager.post(at("edit", made), typed(currency="EUR", carriage_free_net="1"))
    assert answer.status_code == 422
    assert "prices in the old currency" in answer.content.decode()


def test_lists_are_searched_and_run_a_constant_number_of_queries(manager):
    first = SupplierFactory.create(name="Alder")
    counts = []
    for size in (2, 12):
        for n in range(size):
            ArticleFactory.create(supplier=first, code=f"{size}-{n}", part=PartFactory.create())
            SupplierFactory.create()
        counts.append((queries_of(manager, LIST), queries_of(manager, at("articles", first))))
    assert counts[0] == counts[1]
    found = manager.get(LIST, {"q": "alder"}).context["table"].rows
    assert [(row.record.sells, row.record.matched) for row in found] == [(14, 14)]
    ArticleFactory.create(supplier=first, code="Z", name="Zip tie")
    for query, codes in (({"q": "zip"}, ["Z"]), ({"ours": "no"}, ["Z"]), ({"q": "nix"}, [])):
        table = manager.get(at("articles", first), query).context["table"]
        assert [row.record.code for row in table.rows] == codes


def test_costs_are_shown_to_those_who_may_see_them(db):
    ShopFactory.create()
    article = ArticleFactory.create(list_price_net=Decimal("12.34"))
    assert_only_who_may_sees_costs(at("articles", article.supplier), "£12.34")
    assert_only_who_may_sees_costs(at("article", article), "£12.34")


def test_an_article_shows_every_price_it_has_had(manager):
    old = ArticleFactory.create(code="A", list_price_net=7, valid_until=dt.date(2026, 2, 1))
    new = ArticleFactory.create(
        supplier=old.supplier, code="A", list_price_net=8, pack=4, valid_from=dt.date(2026, 2, 1)
    )
    text = manager.get(at("article", new)).content.decode()
    for words in ("£7.00", "£8.00", "£2.00", "holds"):
        assert words in text


def test_an_article_is_matched_and_the_match_is_taken_back(manager):
    article = ArticleFactory.create()
    part, other = PartFactory.create(name="Brake block 7"), PartFactory.create(name="Saddle")
    page = at("match", article)
    text = manager.post(page, {"find": "block 7", "look": "1"}).content.decode()
    assert part.name in text
    assert other.name not in text
    manager.post(page, {"find": "block 7", "part": part.pk, "save": "1"})
    article.refresh_from_db()
    assert article.part == part
    assert "none of ours" in manager.get(page).content.decode()
    manager.post(page, {"find": "", "part": "", "save": "1"})
    article.refresh_from_db()
    assert article.part is None
    answer = manager.post(page, {"find": "", "part": "999999", "save": "1"})
    assert answer.status_code == 422


def test_a_price_that_no_longer_holds_is_not_matched():
    old = ArticleFactory.create(valid_until=dt.date(2026, 2, 1))
    with pytest.raises(NoLongerSoldError, match="no longer holds"):
        match(old, PartFactory.create())


@pytest.mark.parametrize(
    "wrong",
    [
        {"cost_net": -1},
        {"list_price_net": -1, "cost_net": 1},
        {"discount": 2},
        {"pack": 0},
        {"code": ""},
        {"valid_until": dt.date(2025, 1, 1)},
        {"code": "twice"},
    ],
)
def test_the_database_refuses_what_cannot_be(wrong):
    held = ArticleFactory.create(code="twice")
    with pytest.raises(IntegrityError), transaction.atomic():
        ArticleFactory.create(supplier=held.supplier, **wrong)
    assert SupplierPart.objects.count() == 1
