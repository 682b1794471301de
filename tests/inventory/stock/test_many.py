"""Many parts changed in one go: chosen, looked over, changed all or none."""

import re
from decimal import Decimal

import pytest
from django.db import connection
from django.db.models import F
from django.db.utils import IntegrityError
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.selling import Rounding
from inventory.parts.changing import Money, PriceRule, Wish, outcome
from inventory.parts.models import Ending, Part
from inventory.parts.verbs import change_many as change_module
from inventory.parts.verbs.change_many import ChangedMeanwhileError, change_many, tallied
from tests.asking import text_of
from tests.factories.longstock import long_stock
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory, sign_in
from tests.factories.shop import ShopFactory, VatRateFactory, vat_rates

pytestmark = pytest.mark.django_db
D = Decimal
MANY = reverse("stock:many")
MONEY = Money({"standard": D("0.2"), "reduced": D("0.05"), "zero": D(0)}, D("0.01"))


@pytest.fixture
def manager(client):
    ShopFactory.create()
    vat_rates()
    client.person = sign_in(client, manager=True)
    return client


def hidden(page):
    """Return what the preview carries on."""
    form = page[page.index('id="apply"') :]
    found = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form)
    data = {}
    for name, value in found:
        data.setdefault(name, []).append(value)
    return data


def looked(client, **asked):
    """Look a change over; return the page."""
    response = client.get(MANY, {"look": "1", "to-price": "stays", **asked})
    assert response.status_code == 200, text_of(response)
    return text_of(response)


def apply(client, page):
    return client.post(MANY, hidden(page), follow=True)


def gross(part):
    return (part.price_net * D("1.2")).quantize(D("0.01"))


# what becomes of a part


PRICED = [
    (Wish(price=PriceRule.MARKUP, share=D("0.6"), ending=Rounding.NINETY_NINE), "15.99"),
    (Wish(price=PriceRule.MARKUP, share=D("0.6"), ending=Rounding.FIFTY), "15.50"),
    (Wish(price=PriceRule.MARKUP, share=D("0.6")), "16.00"),
    (Wish(price=PriceRule.OWN), "20.00"),
    (Wish(price=PriceRule.SHARE, share=D("0.1"), ending=Rounding.NINETY_NINE), "13.99"),
    (Wish(price=PriceRule.SHARE, ending=Rounding.FIFTY), "12.00"),
    (Wish(price=PriceRule.SHARE, share=D("-0.5"), ending=Rounding.NONE), "6.00"),
]


@pytest.mark.parametrize(("wish", "expected"), PRICED)
def test_a_price_follows_the_rule_and_ends_as_wished_with_vat(wish, expected):
    part = Part(cost_net=D(8), price_net=D(10), markup=D(1), ending=Ending.WHOLE)
    told = outcome(part, wish, MONEY)
    assert (told.price_net * D("1.2")).quantize(D("0.01")) == D(expected)
    assert part.price_net == 10


@pytest.mark.parametrize(
    ("part", "wish", "reason"),
    [
        ({"markup": None}, Wish(price=PriceRule.OWN), "no mark-up of its own"),
        ({"cost_net": D(0)}, Wish(price=PriceRule.MARKUP, share=D(1)), "cost is not known"),
        ({"price_net": D(9_999_999)}, Wish(price=PriceRule.SHARE, share=D(1)), "too high"),
    ],
)
def test_a_price_that_cannot_be_reckoned_stays_and_says_why(part, wish, reason):
    told = outcome(Part(**{"cost_net": D(8), "price_net": D(10)} | part), wish, MONEY)
    assert not told.changes
    assert reason in told.stays


def test_another_vat_rate_counts_where_both_change():
    part = Part(cost_net=D(10), price_net=D(10))
    wish = Wish(price=PriceRule.MARKUP, share=D(0), ending=Rounding.NINETY_NINE, vat_code="reduced")
    told = outcome(part, wish, MONEY)
    assert (told.price_net * D("1.05")).quantize(D("0.01")) == D("10.99")
    assert told.after["vat_code"] == "reduced"


@given(
    st.decimals(0, 9999, places=4),
    st.decimals(0, 9999, places=4),
    st.decimals(D("-0.9"), 99, places=4),
    st.sampled_from(list(Rounding)),
    st.sampled_from([PriceRule.MARKUP, PriceRule.SHARE]),
)
def test_no_price_is_below_what_was_asked_for(cost, price, share, ending, rule):
    share = abs(share) if rule is PriceRule.MARKUP else share
    part = Part(cost_net=cost, price_net=price)
    told = outcome(part, Wish(price=rule, share=share, ending=ending), MONEY)
    base = cost if rule is PriceRule.MARKUP else price
    if not told.stays:
        assert told.price_net >= base * (1 + share) - D("0.0001")


# looking over and changing


def test_what_is_ticked_is_looked_over_and_changed_with_history(manager):
    hub = PartFactory.create(code="hub", cost_net=D(8), price_net=D(10))
    rim = PartFactory.create(code="rim", cost_net=D(0), price_net=D(10))
    other = PartFactory.create(code="other", cost_net=D(8), price_net=D(10))
    asked = {
        "which": "ticked",
        "pk": [hub.pk, rim.pk],
        "to-price": "markup",
        "to-percent": "60",
        "to-ending": "ninety_nine",
        "to-keep_rule": "on",
        "to-place": "C7",
    }
    page = looked(manager, **asked)
    assert "2 of 2 parts change" in page
    assert "£10.00 → <strong>£13.33</strong>" in page
    assert "£12.00 → <strong>£15.99</strong>" in page
    assert "The price stays. Its cost is not known." in page
    assert Part.objects.get(code="hub").price_net == 10
    assert "2 parts changed" in text_of(apply(manager, page))
    hub.refresh_from_db()
    assert (gross(hub), hub.markup, hub.ending, hub.place) == (
        D("15.99"),
        D("0.6"),
        "ninety_nine",
        "C7",
    )
    kept = hub.history.first()
    assert (kept.history_user, kept.history_change_reason) == (
        manager.person,
        "changed with others",
    )
    rim.refresh_from_db()
    assert (rim.price_net, rim.markup, rim.place) == (10, None, "C7")
    assert Part.objects.get(pk=other.pk).place == ""
    assert other.history.count() == 1


def test_all_that_the_filter_finds_are_changed_and_no_other(manager):
    for place, count in (("A1", 3), ("B2", 2)):
        PartFactory.create_batch(count, place=place)
    asked = {"which": "all", "place": "a1", "to-active": "no", "to-minimum": "2,5"}
    page = looked(manager, **asked)
    assert "3 of 3 parts change" in page
    apply(manager, page)
    assert Part.objects.filter(place="A1", active=False, minimum=D("2.5")).count() == 3
    assert Part.objects.filter(place="B2", active=True, minimum=0).count() == 2


@pytest.mark.parametrize(
    "meanwhile",
    [
        lambda: Part.objects.filter(code="hub").update(price_net=11),
        lambda: Part.objects.filter(code="hub").update(cost_net=7),
        lambda: Part.objects.filter(code="hub").update(place="Z"),
        lambda: PartFactory.create(code="hub-2", place="A1"),
        lambda: VatRateFactory._meta.model.objects.filter(code="standard").update(rate=D("0.25")),
    ],
)
def test_it_is_refused_and_nothing_saved_where_something_changed_meanwhile(manager, meanwhile):
    PartFactory.create(code="hub", cost_net=D(8), price_net=D(10), place="A1")
    PartFactory.create(code="rim", cost_net=D(8), price_net=D(10), place="A1")
    page = looked(
        manager,
        which="all",
        place="A1",
        **{"to-price": "markup", "to-percent": "60", "to-ending": "ninety_nine"},
    )
    meanwhile()
    before = list(Part.objects.order_by("pk").values())
    said = text_of(apply(manager, page))
    assert "Nothing has been saved: look it over once more" in said
    assert "parts changed." not in said
    assert list(Part.objects.order_by("pk").values()) == before


def test_all_are_changed_or_none(monkeypatch):
    ShopFactory.create()
    by, wish = UserFactory.create(), Wish(place="C3")
    keys = [part.pk for part in PartFactory.create_batch(3)]
    seal = tallied(keys, wish).seal
    monkeypatch.setattr(change_module, "AT_ONCE", 2)
    calls = []

    def broken(*args, **kwargs):
        calls.append(args)
        if len(calls) == 2:
            raise IntegrityError
        return kept(*args, **kwargs)

    kept = change_module.bulk_update_with_history
    monkeypatch.setattr(change_module, "bulk_update_with_history", broken)
    with pytest.raises(IntegrityError):
        change_many(keys, wish, seal=seal, by=by)
    assert not Part.objects.filter(place="C3").exists()
    assert set(Part.history.values_list("history_type", flat=True)) == {"+"}


def test_another_seal_is_refused():
    ShopFactory.create()
    keys = [PartFactory.create().pk]
    with pytest.raises(ChangedMeanwhileError):
        change_many(keys, Wish(place="C3"), seal="", by=UserFactory.create())
    assert not Part.objects.filter(place="C3").exists()


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({}, "Nothing is to change"),
        ({"to-price": "markup"}, "Write by how many per cent"),
        ({"to-price": "markup", "to-percent": "-5"}, "A mark-up is not below zero"),
        ({"to-price": "share", "to-percent": "-95"}, "greater than or equal to -90"),
        ({"to-price": "share", "to-percent": "lots"}, "is not a number"),
        ({"to-price": "by magic"}, "Select a valid choice"),
        ({"to-place": "A1", "pk": ["x", "9" * 30]}, "No part is chosen"),
        ({"to-place": "A1", "which": "all", "q": "no such thing"}, "No part is chosen"),
    ],
)
def test_what_cannot_be_done_is_refused_with_what_to_do(manager, asked, said):
    PartFactory.create()
    response = manager.get(MANY, {"look": "1", "to-price": "stays", **asked})
    assert response.status_code == 422
    assert said in text_of(response)


def test_choices_are_kept_when_one_goes_back(manager):
    part = PartFactory.create(code="hub")
    back = {"which": "ticked", "pk": part.pk, "to-price": "share", "to-percent": "7"}
    page = text_of(manager.get(MANY, back))
    assert re.search(rf'name="pk" value="{part.pk}" checked', page)
    assert 'value="7"' in page


@pytest.mark.parametrize("role", ["desk", "mechanic", "accountant"])
def test_only_the_manager_changes_many(client, role):
    sign_in(client, role=role)
    assert client.get(MANY).status_code == 403
    assert client.post(MANY).status_code == 403
    assert MANY not in text_of(client.get(reverse("stock:list")))


def test_looking_over_runs_as_many_queries_for_ten_parts_as_for_nine_hundred(manager):
    asked = {"which": "all", "to-price": "share", "to-percent": "5", "look": "1"}

    def queries():
        with CaptureQueriesContext(connection) as ran:
            assert manager.get(MANY, asked).status_code == 200
        return len(ran)

    long_stock(10)
    few = queries()
    long_stock(890)
    assert queries() == few


def test_thousands_are_changed_in_one_go(manager):
    long_stock(2500)
    asked = {"which": "all", "q": "batch", "to-price": "share", "to-percent": "10"}
    page = looked(manager, **asked)
    assert "2500 of 2500 parts change" in page
    assert "2500 parts changed" in text_of(apply(manager, page))
    assert not Part.objects.filter(price_net__lte=F("cost_net") * 2).exists()
