"""Pages of purchasing: who may do what, what costs are shown to whom, and what is refused."""

import datetime as dt
import re
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.parts.models import Part
from inventory.purchasing.models import (
    Delivery,
    DeliveryLine,
    PurchaseLine,
    PurchaseOrder,
    PurchasingSettings,
    State,
)
from inventory.purchasing.verbs.close import close
from inventory.stock import wants
from inventory.stock.models import StockLevel
from inventory.stock.verbs.reverse import reverse_movement
from inventory.stock.wants import Want
from tests.asking import (
    assert_mechanics_see_costs_once_allowed,
    assert_only_who_may_sees_costs,
    queries_of,
)
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory, sign_in
from tests.factories.purchasing import came, drafted, ordered, sold
from tests.factories.shop import ShopFactory, vat_rates
from tests.factories.stock import a_key, come_in, stocked, take
from tests.factories.suppliers import SupplierFactory

pytestmark = pytest.mark.django_db
D = Decimal
SHORT, LIST, POINTS = (reverse(f"purchasing:{name}") for name in ("short", "list", "points"))
SETTINGS = reverse("purchasing:settings")


@pytest.fixture(autouse=True)
def _a_shop(monkeypatch):
    """The shop is there, and prints quickly: what a PDF looks like is tested with the paper."""
    vat_rates()
    ShopFactory.create()
    monkeypatch.setattr("inventory.paper.press.pdf_of", lambda html: b"%PDF " + html.encode()[:9])


@pytest.fixture
def waited_for(monkeypatch):
    waiting = []
    monkeypatch.setattr(wants, "_sources", [lambda parts: list(waiting)])
    return waiting


@pytest.fixture
def manager(client):
    client.person = sign_in(client, manager=True)
    return client


@pytest.fixture
def desk(client):
    sign_in(client, desk=True)
    return client


@pytest.fixture
def bench(client):
    sign_in(client)
    return client


def url(name, order):
    return reverse(f"purchasing:{name}", args=(order.pk,))


def text_of(response):
    """Return a page in one line, whatever the spaces between its words."""
    return " ".join(response.content.decode().split())


def key_on(client, page):
    return re.search(r'name="key" value="([^"]+)"', text_of(client.get(page)))[1]


def ticked(client, *parts, **more):
    """What the list of what is short sends with these parts ticked, packs as proposed."""
    fields = {"key": key_on(client, SHORT), "do": "make"}
    form = client.get(SHORT).context["form"]
    for part in parts:
        for name in ("offer", "packs"):
            fields[f"{name}-{part.pk}"] = form.fields[f"{name}-{part.pk}"].initial
        fields[f"tick-{part.pk}"] = "on"
    return fields | more


def receiving(client, order, *quantities, **more):
    """What the page of goods in sends."""
    lines = order.lines.order_by("pk")
    fields = {"key": key_on(client, url("goods_in", order)), "came_on": timezone.localdate()}
    fields |= {f"came-{line.pk}": each for line, each in zip(lines, quantities, strict=True)}
    return fields | more


# what is short


def test_the_desk_puts_what_is_short_into_a_draft_once_though_it_is_sent_twice(desk):
    part = PartFactory.create(minimum=7)
    sold(part, pack=5)
    fields = ticked(desk, part)
    for _ in range(2):
        answer = desk.post(SHORT, fields)
        draft = PurchaseOrder.objects.get()
        assert answer["Location"] == url("order", draft)
    assert draft.lines.get().packs == 2
    text = text_of(desk.get(SHORT))
    assert "10 in a draft" in text


def test_several_suppliers_get_a_draft_each_and_the_drafts_are_shown(desk):
    one, two = (PartFactory.create(minimum=1) for _ in "ab")
    sold(one), sold(two)
    answer = desk.post(SHORT, ticked(desk, one, two))
    assert answer["Location"] == f"{LIST}?state=draft"
    assert PurchaseOrder.objects.count() == 2


def test_another_offer_is_reckoned_anew_before_it_is_taken(desk):
    part = PartFactory.create(minimum=7)
    sold(part, "1.00", pack=1)
    other = sold(part, "9.00", pack=5)
    fields = ticked(desk, part) | {f"offer-{part.pk}": f"a{other.pk}", "do": "reckon"}
    answer = desk.post(SHORT, fields)
    assert answer.status_code == 200
    assert not PurchaseOrder.objects.exists()
    assert answer.context["form"][f"packs-{part.pk}"].value() == "2"
    assert str(other.supplier) in text_of(answer)


def test_what_no_supplier_sells_wants_one_chosen(desk):
    part = PartFactory.create(minimum=1, name="Odd washer")
    supplier = SupplierFactory.create()
    answer = desk.post(SHORT, ticked(desk, part))
    assert answer.status_code == 422
    assert "Choose who to buy Odd washer from" in text_of(answer)
    desk.post(SHORT, ticked(desk, part, **{f"offer-{part.pk}": f"s{supplier.pk}"}))
    assert PurchaseLine.objects.get().order.supplier == supplier


@pytest.mark.parametrize(
    ("packs", "words"),
    [("", "Write how many packs"), ("-1", "greater than"), ("x", "whole number")],
)
def test_packs_that_cannot_be_are_refused_beside_the_part(desk, packs, words):
    part = PartFactory.create(minimum=1)
    sold(part)
    answer = desk.post(SHORT, ticked(desk, part, **{f"packs-{part.pk}": packs}))
    assert answer.status_code == 422
    assert words in text_of(answer)
    assert not PurchaseOrder.objects.exists()


def test_nothing_ticked_is_said(desk):
    sold(PartFactory.create(minimum=1))
    answer = desk.post(SHORT, ticked(desk))
    assert answer.status_code == 422
    assert "Tick what is to be ordered" in text_of(answer)


def test_names_that_no_form_has_are_let_be(desk):
    sold(PartFactory.create(minimum=1))
    fields = ticked(desk, **{"offer-": "a1", "offer-x": "a1", f"offer-{'9' * 40}": "a1"})
    assert desk.post(SHORT, fields).status_code == 422


def test_the_list_tells_who_waits_and_until_when(desk, waited_for):
    part = PartFactory.create(unit="pc")
    sold(part, supplier=SupplierFactory.create(lead_days=30))
    soon = timezone.localdate() + dt.timedelta(days=2)
    waited_for[:] = [Want(part.pk, D(2), "J0007 B0001: Fit <it>", soon, "/card/7/")]
    text = text_of(desk.get(SHORT))
    assert '2 pc for <a href="/card/7/">J0007 B0001: Fit &lt;it&gt;</a>, promised for' in text
    assert "2 waited for" in text
    assert "comes too late" in text


def test_the_accountant_reads_the_list_without_a_field(client):
    sign_in(client, accountant=True)
    sold(PartFactory.create(minimum=3), "12.34")
    text = text_of(client.get(SHORT))
    assert "£37.02" in text
    assert "Put into drafts" not in text
    assert "<select" not in text
    assert client.post(SHORT, {}).status_code == 403


def test_nothing_short_is_said(desk):
    assert "Nothing is short" in text_of(desk.get(SHORT))


# drafts


def test_a_draft_is_changed_by_the_desk_at_the_prices_it_has(desk):
    draft = drafted(sold(price="3.33"))
    line = draft.lines.get()
    change = url("change", draft)
    fields = {f"packs-{line.pk}": "9", f"price-{line.pk}": "0.01", "note": "Hurry"}
    assert desk.post(change, fields)["Location"] == url("order", draft)
    line.refresh_from_db()
    assert (line.packs, line.pack_cost_net) == (9, D("3.33"))
    assert "Hurry" in text_of(desk.get(url("order", draft)))


def test_the_manager_changes_prices_too_to_a_fraction_of_a_penny(manager):
    draft = drafted(sold(price="3.33"))
    line = draft.lines.get()
    fields = {f"packs-{line.pk}": "1", f"price-{line.pk}": "£3.345"}
    manager.post(url("change", draft), fields)
    line.refresh_from_db()
    assert line.pack_cost_net == D("3.345")
    answer = manager.post(url("change", draft), fields | {f"price-{line.pk}": "much"})
    assert answer.status_code == 422


def test_an_article_is_found_and_added_once(desk):
    draft = drafted(sold())
    more = sold(supplier=draft.supplier, name="Bar tape", code="BT-1")
    page = url("add", draft)
    text = text_of(desk.get(page, {"q": "tape bt-1"})) + text_of(desk.get(page, {"q": "bt-1"}))
    assert "Bar tape" in text
    fields = {"key": f"{key_on(desk, page)}", "article": more.pk, "packs": "3"}
    for _ in range(2):
        assert desk.post(page, fields)["Location"] == url("order", draft)
    assert draft.lines.count() == 2
    answer = desk.post(page, fields | {"key": "another"})
    assert answer.status_code == 422
    assert "stands in this draft already" in text_of(answer)
    assert "stands in it" in text_of(desk.get(page))


@pytest.mark.parametrize("packs", ["0", "", "99999"])
def test_packs_that_cannot_be_are_not_added(desk, packs):
    draft = drafted(sold())
    more = sold(supplier=draft.supplier)
    answer = desk.post(url("add", draft), {"key": "k", "article": more.pk, "packs": packs})
    assert answer.status_code == 422
    assert draft.lines.count() == 1


def test_a_draft_is_thrown_away_and_what_was_ordered_is_not(desk):
    draft, order = drafted(sold()), ordered()
    assert desk.post(url("discard", draft))["Location"] == LIST
    assert desk.post(url("discard", order))["Location"] == url("order", order)
    assert list(PurchaseOrder.objects.all()) == [order]


@pytest.mark.parametrize("page", ["change", "add"])
def test_what_was_ordered_is_shown_rather_than_changed(desk, page):
    order = ordered()
    assert desk.get(url(page, order))["Location"] == url("order", order)


# ordering


def test_the_manager_orders_and_the_paper_is_kept(manager):
    draft = drafted(sold())
    assert manager.get(url("pdf", draft)).status_code == 404
    assert manager.post(url("place", draft))["Location"] == url("order", draft)
    draft.refresh_from_db()
    assert (draft.number, draft.ordered_by) == ("P0001", manager.person)
    answer = manager.get(url("pdf", draft))
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content == bytes(draft.document.pdf)
    assert "P0001.pdf" in answer["Content-Disposition"]
    file = manager.get(url("csv", draft))
    assert "P0001.csv" in file["Content-Disposition"]
    assert "P0001" in text_of(file)


def test_an_empty_draft_is_not_ordered_and_it_is_said(manager):
    draft = drafted(sold())
    draft.lines.all().delete()
    answer = manager.post(url("place", draft), follow=True)
    assert "Nothing stands in this draft" in text_of(answer)
    draft.refresh_from_db()
    assert draft.is_draft


def test_the_desk_does_not_order_and_is_not_offered_it(desk):
    draft = drafted(sold())
    assert url("place", draft) not in text_of(desk.get(url("order", draft)))
    assert desk.post(url("place", draft)).status_code == 403


def test_pages_of_an_order_that_is_not_there_are_not_found(manager):
    for name in ("order", "change", "add", "goods_in", "end", "pdf", "csv"):
        assert manager.get(reverse(f"purchasing:{name}", args=(999,))).status_code == 404


# goods in


def test_a_mechanic_books_in_what_came_at_the_prices_ordered(bench):
    part = PartFactory.create(place="C3", unit="pc")
    order = ordered(sold(part, "4.00", pack=2), packs=5)
    assert "goes to C3" in text_of(bench.get(url("goods_in", order)))
    line = order.lines.get()
    fields = receiving(bench, order, "4", reference="LS 1") | {f"price-{line.pk}": "0.01"}
    for _ in range(2):
        assert bench.post(url("goods_in", order), fields)["Location"] == url("order", order)
    assert Delivery.objects.get().reference == "LS 1"
    level = StockLevel.objects.get(part=part)
    assert (level.on_hand, level.value) == (4, 8)


def test_the_manager_enters_the_price_of_the_invoice(manager):
    part = PartFactory.create()
    order = ordered(sold(part, "4.00"), packs=5)
    line = order.lines.get()
    fields = receiving(manager, order, "5") | {f"price-{line.pk}": "4,20"}
    manager.post(url("goods_in", order), fields)
    assert StockLevel.objects.get(part=part).value == 21
    text = text_of(manager.get(url("order", order)))
    assert "Dearer than ordered by" in text
    assert "£1.00" in text
    assert "closed" in text


def test_what_came_in_another_currency_asks_for_the_rate(manager):
    part = PartFactory.create()
    order = ordered(sold(part, "10.00", supplier=SupplierFactory.create(currency="EUR")), packs=1)
    assert "One EUR is how many GBP" in text_of(manager.get(url("goods_in", order)))
    line = order.lines.get()
    fields = receiving(manager, order, "1") | {f"price-{line.pk}": "10"}
    assert manager.post(url("goods_in", order), fields).status_code == 422
    manager.post(url("goods_in", order), fields | {"rate": "0,85"})
    assert StockLevel.objects.get(part=part).value == D("8.50")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"came": "6"}, "Write why it is kept"),
        ({"came": ""}, "Nothing came"),
        ({"came": "0.001"}, "2 decimal places"),
        ({"came": "-1"}, "greater than"),
        ({"came": "some"}, "number"),
        ({"came_on": "2999-01-01"}, "lies ahead"),
        ({"came_on": "2001-01-01"}, "from then up to today"),
        ({"came_on": ""}, "required"),
    ],
)
def test_what_cannot_be_booked_is_said_and_nothing_is(bench, change, words):
    order = ordered(packs=5)
    line = order.lines.get()
    fields = receiving(bench, order, "5")
    fields |= {f"came-{line.pk}" if name == "came" else name: each for name, each in change.items()}
    answer = bench.post(url("goods_in", order), fields)
    assert answer.status_code == 422
    assert words in text_of(answer)
    assert not Delivery.objects.exists()


def test_more_than_was_ordered_is_kept_for_a_reason_and_that_is_shown(bench):
    order = ordered(packs=5)
    bench.post(url("goods_in", order), receiving(bench, order, "6", over_reason="a gift"))
    assert DeliveryLine.objects.get().over_reason == "a gift"
    assert "more than ordered: a gift" in text_of(bench.get(url("order", order)))


def test_only_what_is_still_to_come_is_asked_for(bench):
    first = sold(name="Inner tube")
    order = ordered(first, sold(supplier=first.supplier, name="Rim tape"), packs=2)
    came(order, 2)
    text = text_of(bench.get(url("goods_in", order)))
    assert "Rim tape" in text
    assert "Inner tube" not in text


def test_goods_in_tells_who_waits(bench, waited_for):
    part = PartFactory.create()
    order = ordered(sold(part))
    waited_for[:] = [Want(part.pk, D(2), "J0007")]
    assert "for J0007" in text_of(bench.get(url("goods_in", order)))


@pytest.mark.parametrize("ended", [True, False])
def test_nothing_is_booked_in_for_an_order_that_is_not_open(bench, ended):
    order = ordered() if ended else drafted(sold())
    if ended:
        close(order, reason="twice", by=UserFactory.create())
    assert bench.get(url("goods_in", order))["Location"] == url("order", order)


# ending


def test_an_order_is_cancelled_for_a_reason(manager):
    order = ordered()
    assert manager.post(url("end", order), {"reason": " "}).status_code == 422
    assert "Cancel P0001" in text_of(manager.get(url("end", order)))
    manager.post(url("end", order), {"reason": "ordered twice"})
    order.refresh_from_db()
    assert (order.state, order.close_reason) == (State.CANCELLED, "ordered twice")
    assert manager.get(url("end", order))["Location"] == url("order", order)


def test_the_rest_of_an_order_is_given_up(manager):
    order = ordered(packs=3)
    came(order, 1)
    assert "The rest will not come" in text_of(manager.get(url("end", order)))
    manager.post(url("end", order), {"reason": "out of stock"})
    assert "out of stock" in text_of(manager.get(url("order", order)))


def test_an_order_is_opened_again_after_goods_were_taken_back(manager):
    order = ordered(packs=3)
    movement = came(order, 3).lines.get().movement
    assert "Open it again" not in text_of(manager.get(url("order", order)))
    reverse_movement(movement, reason="wrong", by=UserFactory.create(), key=a_key())
    text = text_of(manager.get(url("order", order)))
    assert "Open it again" in text
    assert "taken back" in text
    manager.post(url("reopen", order))
    order.refresh_from_db()
    assert order.state == State.ORDERED


def test_what_was_ended_by_hand_is_not_opened_again(manager):
    order = close(ordered(), reason="twice", by=UserFactory.create())
    assert "ended by hand" in text_of(manager.post(url("reopen", order), follow=True))


def test_only_the_manager_ends_orders(desk):
    order = ordered()
    assert desk.get(url("end", order)).status_code == 403
    assert desk.post(url("reopen", order)).status_code == 403
    assert url("end", order) not in text_of(desk.get(url("order", order)))


# costs


def test_costs_of_an_order_are_shown_only_to_those_who_may_see_them():
    supplier = SupplierFactory.create(carriage_free_net=500, carriage_net=D("7.77"))
    draft = drafted(sold(price="12.34", supplier=supplier), packs=3)
    assert_only_who_may_sees_costs(url("order", draft), "£12.34", "£37.02", "£462.98")
    assert_only_who_may_sees_costs(url("change", draft), "12.34")
    assert_only_who_may_sees_costs(url("add", draft), "£12.34", "£462.98")


def test_costs_of_goods_that_came_are_shown_only_to_those_who_may_see_them():
    order = ordered(sold(price="12.34"), packs=3)
    came(order, 1, price="12.99")
    assert_only_who_may_sees_costs(url("order", order), "£12.34", "£37.02", "£12.99", "£0.65")
    assert_only_who_may_sees_costs(url("goods_in", order), "12.34")
    assert_mechanics_see_costs_once_allowed(url("order", order), "£12.34", "£12.99")
    assert_mechanics_see_costs_once_allowed(url("goods_in", order), "12.34")


def test_costs_of_what_is_short_are_shown_only_to_those_who_may_see_them():
    supplier = SupplierFactory.create(carriage_free_net=500)
    sold(PartFactory.create(minimum=3), "12.34", supplier=supplier)
    assert_only_who_may_sees_costs(SHORT, "£12.34", "£37.02", "£462.98")


def test_totals_are_in_the_list_and_its_file_only_for_those_who_may_see_them():
    ordered(sold(price="12.34"), packs=3)
    assert_only_who_may_sees_costs(LIST, "£37.02")


@pytest.mark.parametrize("name", ["pdf", "csv"])
def test_paper_and_file_are_not_for_those_who_may_not_see_costs(name):
    order = ordered()
    from django.test import Client

    for traits, status in (
        ({"manager": True}, 200), ({"accountant": True}, 200), ({"desk": True}, 403), ({}, 403),
    ):  # fmt: skip
        client = Client()
        sign_in(client, **traits)
        assert client.get(url(name, order)).status_code == status, traits


# the list


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"q": "p0001"}, ["P0001"]),
        ({"q": "tannery"}, ["P0001"]),
        ({"q": "inner tube"}, ["P0001"]),
        ({"q": "tr-9 tannery"}, ["P0001"]),
        ({"state": "cancelled"}, ["P0002"]),
        ({"state": "draft"}, [""]),
        ({"q": "nothing"}, []),
        ({}, ["", "P0002", "P0001"]),
    ],
)
def test_orders_are_found_and_narrowed(bench, query, found):
    supplier = SupplierFactory.create(name="Tannery Row")
    ordered(sold(supplier=supplier, name="Inner tube", code="TR-9"))
    close(ordered(), reason="twice", by=UserFactory.create())
    drafted(sold())
    rows = bench.get(LIST, query).context["table"].rows
    assert [row.record.number for row in rows] == found


# reorder points


def used_daily(part, days=40):
    """Use one a day of a part that a supplier sells, and return it."""
    by = UserFactory.create()
    come_in(part, days + 5, days=days + 1, by=by)
    for day in range(1, days + 1):
        take(part, 1, days=day, by=by)
    return part


def test_a_reorder_point_is_shown_with_its_figures_and_taken_as_the_minimum(manager):
    part = used_daily(PartFactory.create(name="Inner tube", minimum=2))
    sold(part, supplier=SupplierFactory.create(name="Tannery Row", lead_days=5))
    text = text_of(manager.get(POINTS))
    assert re.search(r"(0\.98|1\.00) ± 0\.\d\d", text)
    assert "7.0 days" in text
    (told,) = manager.get(POINTS).context["told"]
    assert told.point.order_below in {8, 9}
    manager.post(POINTS, {"take": [str(part.pk)]})
    part.refresh_from_db()
    assert part.minimum == told.point.order_below
    assert part.history.first().history_user == manager.person


def test_a_lead_time_is_measured_from_five_orders_on(manager, monkeypatch):
    supplier = SupplierFactory.create(lead_days=30)
    part = used_daily(PartFactory.create())
    article = sold(part, supplier=supplier)
    past = timezone.now() - dt.timedelta(days=6)
    for number in range(5):
        with monkeypatch.context() as patched:
            patched.setattr(timezone, "now", lambda: past)
            order = ordered(article)
        came(order, 2, came_on=timezone.localdate() - dt.timedelta(days=number % 2))
        (told,) = manager.get(POINTS).context["told"]
        assert told.orders == (5 if number == 4 else 0)
    assert told.lead.mean == pytest.approx(5.6)
    assert told.lead.sd == pytest.approx(0.5477, abs=1e-4)
    assert "measured on 5 orders" in text_of(manager.get(POINTS))


@pytest.mark.parametrize(
    ("lead_days", "days", "words"),
    [(None, 40, "lead time of"), (3, 20, "fewer than 28 days")],
)
def test_it_is_said_why_there_is_no_point(manager, lead_days, days, words):
    sold(
        used_daily(PartFactory.create(), days), supplier=SupplierFactory.create(lead_days=lead_days)
    )
    assert words in text_of(manager.get(POINTS))


def test_a_part_that_no_supplier_sells_has_no_point(manager):
    used_daily(PartFactory.create())
    assert "No supplier’s article is matched with it" in text_of(manager.get(POINTS))


def test_what_came_back_was_not_used(manager):
    from inventory.stock.verbs.give_back import give_back

    part = stocked(30)
    drawn = take(part, 6, days=3)
    give_back(drawn, quantity=D(6), by=UserFactory.create(), key=a_key())
    sold(part)
    (told,) = manager.get(POINTS).context["told"]
    assert told.usage is None or told.usage.mean == 0


def test_only_what_is_offered_is_taken(manager):
    part = PartFactory.create(minimum=2)
    for wrong in (str(part.pk), "x", "999999"):
        manager.post(POINTS, {"take": [wrong]})
    assert Part.objects.get(pk=part.pk).minimum == 2


def test_the_desk_reads_the_points_and_changes_none(desk):
    part = used_daily(PartFactory.create(minimum=2))
    sold(part, supplier=SupplierFactory.create(lead_days=5))
    text = text_of(desk.get(POINTS))
    assert 'name="take"' not in text
    assert desk.post(POINTS, {"take": [part.pk]}).status_code == 403
    assert desk.get(SETTINGS).status_code == 403


def test_the_service_level_is_changed_within_bounds(manager):
    fields = {"service_level": "98", "usage_days": "90", "look_every": "7"}
    assert manager.post(SETTINGS, fields)["Location"] == POINTS
    kept = PurchasingSettings.objects.get()
    assert (kept.service_level, kept.usage_days, kept.look_every) == (D("0.98"), 90, 7)
    assert kept.history.count() == 1
    assert "in 98 % of orders" in text_of(manager.get(POINTS))
    for wrong in ({"service_level": "40"}, {"service_level": "100"}, {"usage_days": "3"}):
        assert manager.post(SETTINGS, fields | wrong).status_code == 422


# on other pages


def test_a_parts_page_tells_what_is_on_order_and_who_waits(bench, waited_for):
    part = PartFactory.create(unit="pc")
    order = ordered(sold(part), packs=5)
    came(order, 2)
    waited_for[:] = [Want(part.pk, D(4), "J0007 B0001: Fit it")]
    text = text_of(bench.get(reverse("stock:part", args=(part.pk,))))
    assert f"{order.number}</a>: 3 pc from {order.supplier}" in text
    assert "4 pc for J0007 B0001: Fit it" in text


# how much pages ask of the database


def test_pages_run_as_many_queries_for_many_lines_as_for_few(manager):
    def an_order(lines):
        supplier = SupplierFactory.create()
        parts = [used_daily(PartFactory.create(minimum=5), 2) for _ in range(lines)]
        order = ordered(*[sold(part, supplier=supplier) for part in parts], packs=4)
        came(order, *[1] * lines)
        came(order, *[1] * lines)
        return order

    def a_draft(lines):
        supplier = SupplierFactory.create()
        return drafted(*[sold(supplier=supplier) for _ in range(lines)])

    def asked(order, draft):
        return [queries_of(manager, url(name, order)) for name in ("order", "goods_in", "csv")] + [
            queries_of(manager, page)
            for page in (url("change", draft), url("add", draft), LIST, SHORT, POINTS)
        ]

    first = an_order(2), a_draft(2)
    few = asked(*first)
    assert asked(an_order(12), a_draft(12)) == few
    assert max(few) < 25
