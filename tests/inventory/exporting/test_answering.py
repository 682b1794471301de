"""Lists as files: the rows, order and columns of the page, for those who may open the page."""

import datetime as dt
import html
import re
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.core.cells import Money, Share
from inventory.core.sheets import guarded
from inventory.exporting.answering import file_stem
from inventory.exporting.cells import rows_of
from inventory.lists import ROWS_A_PAGE
from inventory.parts.models import Part
from inventory.stock.models import StockLevel
from tests.asking import queries_of
from tests.factories.bikes import BikeFactory
from tests.factories.files import content_of, csv_rows, sheet, sheet_rows
from tests.factories.parts import PartFactory
from tests.factories.people import CustomerFactory, sign_in
from tests.factories.quotes import draft
from tests.factories.resale import ComparableFactory
from tests.factories.shop import ShopFactory, vat_rates
from tests.factories.stock import stocked
from tests.factories.suppliers import ArticleFactory, csv_of, read
from workshop.catalogue.loading import load_catalogue
from workshop.catalogue.registry import all_kinds
from workshop.people.models import Role

pytestmark = pytest.mark.django_db
D = Decimal
STOCK = reverse("stock:list")
FIGURES = {
    "resale_price": "320", "purchase_price": "90", "refurbishment_cost": "60", "scheme": "margin",
    "vat_rate": "20", "selling_fee_share": "5", "selling_fee_net": "2", "warranty_share": "3",
    "target_profit": "80",
}  # fmt: skip


@pytest.fixture
def manager(client):
    client.person = sign_in(client, manager=True)
    ShopFactory.create()
    return client


def shown(client, url, **query):
    """Return the rows of all pages of a list."""
    rows, page = [], 1
    while True:
        table = client.get(url, query | {"page": page}).context["table"]
        rows += [row.record.pk for row in table.page.object_list]
        if not table.page.has_next():
            return rows
        page += 1


# the same rows, order and columns


def some_parts(count, start=0):
    parts = [
        Part(code=f"p{n:04}", name=f"Part {n % 7}-{n}", place=f"A{n % 3}", cost_net=1, price_net=2,
             minimum=n % 5)
        for n in range(start, start + count)
    ]  # fmt: skip
    made = Part.objects.bulk_create(parts)
    StockLevel.objects.bulk_create(
        StockLevel(part=part, on_hand=n % 9 + 1, value=D(n) + D("0.25"))
        for n, part in enumerate(made)
    )


@pytest.mark.parametrize(
    "query",
    [
        {},
        {"sort": "-worth"},
        {"sort": "place,-name"},
        {"q": "part 3", "sort": "on_hand"},
        {"place": "a1", "short": "on", "page": "2"},
        {"q": "nothing like it"},
        {"sort": "nothing", "page": "x"},
    ],
)
def test_a_file_has_the_rows_of_all_pages_in_the_order_of_the_page(manager, query):
    some_parts(2 * ROWS_A_PAGE + 3)
    head, *rows = csv_rows(manager, STOCK, **query)
    names = dict(Part.objects.values_list("pk", "name"))
    wanted = [names[pk] for pk in shown(manager, STOCK, **query)]
    assert head[0] == "Part"
    assert sorted(row[0] for row in rows) == sorted(wanted)
    if "place" not in query.get("sort", ""):
        key = {"-worth": 5, "on_hand": 2}.get(query.get("sort"), 0)
        values = [D(row[key]) if key else row[key] for row in rows]
        assert values == sorted(values, reverse=query.get("sort") == "-worth")
    sheet_of_it = sheet_rows(manager, STOCK, **query)[1:]
    assert [[plainly(cell) for cell in row] for row in sheet_of_it] == rows


@pytest.mark.parametrize(("most", "told"), [(3, False), (2, True)])
def test_it_is_said_where_a_workbook_takes_a_while(manager, monkeypatch, most, told):
    monkeypatch.setattr("inventory.lists.MANY_ROWS", most)
    some_parts(3)
    page = manager.get(STOCK).content.decode()
    assert ("sent once it is whole, which takes a while" in page) is told


def plainly(cell):
    """Return a workbook's cell as CSV has it; amounts here are of the stock's value."""
    if cell is None:
        return ""
    return cell if isinstance(cell, str) else f"{cell:.2f}" if cell % 1 else str(int(cell))


def test_amounts_are_numbers_in_the_shop_s_currency_and_days_are_days(manager):
    vat_rates()
    stocked(3, "4.13", name="Hub", minimum=D("4.5"), place="A1")
    made = sheet(manager, STOCK)
    assert [cell.value for cell in made[1]] == [
        "Part", "Place", "On hand", "Reserved", "At least", "Worth, net (GBP)", "Standing",
    ]  # fmt: skip
    assert [cell.value for cell in made[2]] == ["Hub", "A1", 3, 0, 4.5, 12.39, "short of 1.5"]
    assert made["F2"].number_format == "[$£]#,##0.00"
    bike = BikeFactory.create()
    when = sheet(manager, reverse("bikes:list"))
    row = [cell.value for cell in when[2]]
    day = timezone.localdate(bike.booked_in_at)
    assert dt.datetime.combine(day, dt.time.min) in row
    rates = csv_rows(manager, reverse("catalogue:list", args=("vat-rates",)))
    assert {"20%", "5%", "0%"} <= {cell for row in rates for cell in row}


def test_a_supplier_s_prices_are_in_its_currency(manager):
    article = ArticleFactory.create(
        supplier__currency="EUR", list_price_net=D("12.5"), discount=D("0.4"), cost_net=D("7.5")
    )
    ArticleFactory.create(supplier=article.supplier, currency="CHF")
    url = reverse("suppliers:articles", args=(article.supplier_id,))
    head, first, second = csv_rows(manager, url, sort="code")
    assert "Cost, net (EUR)" in head
    assert first[3:6] == ["12.50", "40%", "7.50"]
    assert second[3] == "10.00 CHF"
    cells = sheet(manager, url)[2]
    assert [cell.value for cell in cells[3:6]] == [12.5, 0.4, 7.5]
    assert [cell.number_format for cell in cells[3:6]] == ["[$€]#,##0.00", "0%", "[$€]#,##0.00"]


def test_what_a_page_shows_as_shape_and_word_is_the_word(manager):
    revision = draft(by=manager.person)
    (row,) = csv_rows(manager, reverse("quoting:list"))[1:]
    assert row[0] == f"{revision.quote.number} revision 1"
    assert "draft" in row
    assert f"{revision.gross:.2f}" in row


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_what_people_typed_is_never_reckoned(manager, start):
    text = f"{start}HYPERLINK(1)"
    PartFactory.create(name=text, code="evil")
    (row,) = csv_rows(manager, STOCK)[1:]
    assert row[0] == f"'{text}"
    cell = sheet(manager, STOCK)["A2"]
    assert cell.data_type == "s"
    assert cell.quotePrefix


# who gets what


def test_costs_are_in_no_file_of_who_may_not_see_them(client):
    stocked(3, "4.13", cost_net=D("7.77"))
    for role in (Role.DESK, Role.MECHANIC):
        sign_in(client, role=role)
        ShopFactory.create()
        for url, cost in ((STOCK, "12.39"), (reverse("catalogue:list", args=("parts",)), "7.77")):
            for query in ({}, {"sort": "-worth"}, {"sort": "cost_net"}):
                head, row = csv_rows(client, url, **query)
                assert cost not in row
                assert not [each for each in head if "Worth" in each or "Cost" in each]
                cells = [cell for each in sheet_rows(client, url, **query) for cell in each]
                assert not {12.39, 7.77} & set(cells)
    sign_in(client, accountant=True)
    assert "12.39" in csv_rows(client, STOCK)[1]


def test_whose_bike_it_is_is_in_no_file_of_the_bench(client):
    BikeFactory.create(customer=CustomerFactory.create(name="Ada Rider"))
    sign_in(client)
    assert b"Ada Rider" not in content_of(client, reverse("bikes:list"), export="csv")
    sign_in(client, desk=True)
    assert b"Ada Rider" in content_of(client, reverse("bikes:list"), export="csv")


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_who_may_not_open_a_list_gets_no_file_of_it(client, kind):
    sign_in(client)
    for name in ("customers:list", "people:list", "quoting:list", "buyin:list", "suppliers:list"):
        assert client.get(reverse(name), {"export": kind}).status_code == 403
    client.logout()
    assert client.get(STOCK, {"export": kind}).status_code == 302


# every list


def lists(client):
    """Return the addresses of every list, each with at least one row."""
    load_catalogue()
    ComparableFactory.create()
    article = ArticleFactory.create(code="old", part=PartFactory.create())
    ArticleFactory.create(code="gone", supplier=article.supplier)
    rows = [("old", "Blocks", "12.00"), ("new", "Pads", "3"), ("bad", "Cable", "dear")]
    incoming = read(article.supplier, csv_of(rows, ("Code", "Name", "Price")))
    bike = draft(by=client.person).quote.bike
    client.post(reverse("buyin:check", args=(bike.pk,)), FIGURES)
    names = (
        "stock:list", "suppliers:list", "pricelists:list", "bikes:list", "customers:list",
        "people:list", "quoting:list", "resale:list", "buyin:list",
    )  # fmt: skip
    page = reverse("pricelists:page", args=(incoming.pk,))
    return [
        *(reverse(name) for name in names),
        *(reverse("catalogue:list", args=(kind.slug,)) for kind in all_kinds()),
        reverse("suppliers:articles", args=(article.supplier_id,)),
        *(f"{page}?show={kind}" for kind in ("new", "dearer", "vanished", "wrong")),
    ]


def test_every_list_offers_itself_as_files_that_have_its_columns_and_rows(manager):
    for url in lists(manager):
        table = manager.get(url).context["table"]
        assert table.rows, url
        text = manager.get(url).content.decode()
        links = [html.unescape(each) for each in re.findall(r'href="([^"]*export=[^"]*)"', text)]
        assert len(links) == 2, url
        for link in links:
            rows = (csv_rows if "csv" in link else sheet_rows)(manager, at(url, link))
            head = [str(column.header) for column in table.columns]
            found = [re.sub(r" \([A-Z]{3}\)$", "", cell or "") for cell in rows[0]]
            assert found == [guarded(each) if "csv" in link else each for each in head], url
            assert len(rows) - 1 == table.paginator.count, url


def at(url, link):
    """Return a link's address as a browser makes it of the page's."""
    return url.partition("?")[0] + link


def test_figures_and_amounts_of_every_list_are_numbers(manager):
    for url in lists(manager):
        table = manager.get(url).context["table"]
        kinds = [column.column.attrs.get("td", {}).get("class", "") for column in table.columns]
        for row in rows_of(table):
            for kind, cell in zip(kinds, row, strict=True):
                if {"money", "number"} & set(kind.split()):
                    assert cell is None or isinstance(cell, int | Decimal | Money | Share), url


def test_a_file_takes_as_many_queries_for_many_rows_as_for_few(manager):
    some_parts(3)
    few = [queries_of(manager, STOCK, export=kind) for kind in ("csv", "xlsx")]
    some_parts(2500, start=3)
    assert [queries_of(manager, STOCK, export=kind) for kind in ("csv", "xlsx")] == few
    assert len(csv_rows(manager, STOCK)) == 2504


def test_a_file_is_named_for_its_list_and_day_and_is_not_kept_by_others(manager):
    stocked(1)
    response = manager.get(STOCK, {"export": "xlsx"})
    day = timezone.localdate().isoformat()
    assert response["Content-Disposition"] == f'attachment; filename="stock-{day}.xlsx"'
    assert "no-store" in response["Cache-Control"]
    assert file_stem("/catalogue/vat-rates/") == "catalogue-vat-rates"
    assert file_stem("/") == "list"


@pytest.mark.parametrize("kind", ["", "pdf", "CSV", "csv\0"])
def test_another_kind_of_file_gives_the_page(manager, kind):
    stocked(1)
    response = manager.get(STOCK, {"export": kind})
    assert "text/html" in response["Content-Type"]
