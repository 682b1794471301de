"""Pages of comparables: list, entering, changing, deleting, importing, a bike's resale price."""

import re
from decimal import Decimal
from xml.etree import ElementTree as ET

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from quotes.resale.models import Comparable, Dropped
from quotes.resale.verbs.import_file import import_file
from quotes.resale.views import importing
from tests.asking import queries_of
from tests.factories.bikes import BikeFactory
from tests.factories.people import sign_in
from tests.factories.resale import ComparableFactory, DroppedFactory, on_a_line
from tests.factories.shop import ShopFactory

pytestmark = pytest.mark.django_db

LIST = reverse("resale:list")
NEW = reverse("resale:new")
IMPORT = reverse("resale:import")
ADD = reverse("resale:import_add")
CSV = (
    "make,model,frame,year,condition,price,kind,date\n"
    "Larkfold,Commuter 6,folding,2019,4,495,sold,2025-03-14\n"
)


@pytest.fixture
def manager(client):
    ShopFactory.create()
    client.person = sign_in(client, manager=True)
    return client


def typed(**more):
    return {
        "make": "Larkfold",
        "model": "Commuter 6",
        "frame": "folding",
        "maker_year": "2019",
        "condition": "4",
        "price": "£495",
        "kind": "sold",
        "seen_on": "2025-03-14",
    } | more


def upload(text=CSV, name="prices.csv"):
    data = text if isinstance(text, bytes) else text.encode()
    return {"file": SimpleUploadedFile(name, data, content_type="text/csv")}


def listed(client, **query):
    return [row.record for row in client.get(LIST, query).context["table"].rows]


def page_of(bike):
    return reverse("resale:bike", args=(bike.pk,))


# the list


def test_the_list_is_searched_narrowed_and_sorted(manager):
    folding = ComparableFactory.create(source="Sunday market", price=Decimal(300))
    other = ComparableFactory.create(
        make="Harbourline", model="", frame="diamond", kind="asked", condition=2
    )
    assert listed(manager, q="sunday lark") == [folding]
    assert listed(manager, frame="diamond") == [other]
    assert listed(manager, kind="asked") == [other]
    assert listed(manager, condition="4") == [folding]
    assert listed(manager, since="2025-03-15") == []
    assert listed(manager, sort="price") == [folding, other]
    assert listed(manager, sort="-price") == [other, folding]


def test_the_list_runs_as_many_queries_for_many_as_for_few(manager):
    on_a_line(2)
    few = queries_of(manager, LIST)
    on_a_line(20)
    assert queries_of(manager, LIST) == few


def test_who_may_not_change_is_offered_no_change():
    ShopFactory.create()
    comparable = ComparableFactory.create()
    client = Client()
    sign_in(client, accountant=True)
    page = client.get(LIST).content.decode()
    assert "Larkfold Commuter 6" in page
    assert reverse("resale:edit", args=(comparable.pk,)) not in page
    assert NEW not in page
    assert IMPORT not in page


# entering, changing, deleting


def test_a_comparable_is_entered(manager):
    response = manager.post(NEW, typed(days_on_shelf="12", source="market"))
    assert response["Location"] == LIST
    made = Comparable.objects.get()
    assert (made.price, made.entered_by) == (Decimal(495), manager.person)
    assert (made.days_on_shelf, made.source) == (12, "market")


def test_an_age_gives_the_year(manager):
    manager.post(NEW, typed(maker_year="", age="6"))
    assert Comparable.objects.get().maker_year == 2019


def test_an_address_fills_in_the_bike_and_leads_back(manager):
    bike = BikeFactory.create(model="Commuter 6 & rack")
    page = manager.get(page_of(bike)).content.decode()
    address = re.search(r'href="(/comparables/new/\?[^"]+)"', page)[1].replace("&amp;", "&")
    form = manager.get(address)
    assert form.context["form"]["model"].value() == "Commuter 6 & rack"
    assert form.context["form"]["seen_on"].value() == timezone.localdate()
    response = manager.post(NEW, typed(next=page_of(bike)))
    assert response["Location"] == page_of(bike)


@pytest.mark.parametrize("address", ["https://example.org/", "//example.org", "javascript:x"])
def test_it_leads_to_no_other_site(manager, address):
    assert manager.post(NEW, typed(next=address))["Location"] == LIST


def test_a_wrong_value_is_told_at_its_field_and_nothing_saved(manager):
    response = manager.post(NEW, typed(price="free", seen_on="2125-01-01", maker_year=""))
    assert response.status_code == 422
    assert set(response.context["form"].errors) == {"price", "seen_on"}
    assert not Comparable.objects.exists()


def test_the_same_price_is_entered_twice_only_when_told_so(manager):
    manager.post(NEW, typed())
    response = manager.post(NEW, typed(model="commuter-6"))
    assert response.status_code == 422
    assert "here already" in response.content.decode()
    assert 'type="checkbox" name="again"' in response.content.decode()
    assert manager.post(NEW, typed(again="on")).status_code == 302
    assert Comparable.objects.count() == 2


def test_a_comparable_is_changed_and_its_history_shown(manager):
    comparable = ComparableFactory.create()
    url = reverse("resale:edit", args=(comparable.pk,))
    assert 'value="400.00"' in manager.get(url).content.decode()
    assert manager.post(url, typed(price="410")).status_code == 302
    page = manager.get(url).content.decode()
    assert "price: £400.00 → £410.00" in page
    assert manager.post(url, typed(price="410")).status_code == 302


def test_deleting_asks_first(manager):
    comparable = ComparableFactory.create()
    url = reverse("resale:remove", args=(comparable.pk,))
    assert "Delete" in manager.get(url).content.decode()
    assert Comparable.objects.exists()
    assert manager.post(url)["Location"] == LIST
    assert not Comparable.objects.exists()


# a file


def kept_in(response):
    return re.search(r'name="kept" value="([^"]+)"', response.content.decode())[1]


def test_the_guide_names_every_column_and_the_template_is_read_back(manager):
    page = manager.get(IMPORT).content.decode()
    for column in importing.COLUMNS:
        assert column.name.replace("'", "&#x27;") in page
    response = manager.get(reverse("resale:template"))
    assert response["Content-Type"] == "text/csv; charset=utf-8"
    assert "comparables.csv" in response["Content-Disposition"]
    look = manager.post(IMPORT, upload(response.content))
    assert look.context["plan"].problems == ()


def test_a_file_is_looked_at_then_added(manager):
    response = manager.post(IMPORT, upload())
    assert response.status_code == 200
    assert "Read as UTF-8, parted by commas, no decimals" in response.content.decode()
    assert not Comparable.objects.exists()
    added = manager.post(ADD, {"kept": kept_in(response)}, follow=True)
    assert "1 comparable is added from prices.csv" in added.content.decode()
    made = Comparable.objects.get()
    assert (made.price, made.entered_by) == (Decimal(495), manager.person)
    assert made.history.get().history_user == manager.person


def test_a_wrong_cell_is_shown_and_nothing_can_be_added(manager):
    bad = CSV + "Larkfold,<b>x</b>,trike,2019,4,495,sold,2025-03-14\n"
    response = manager.post(IMPORT, upload(bad))
    page = response.content.decode()
    assert response.status_code == 422
    assert "Row 3, frame" in page
    assert "trike" in page
    assert 'name="kept"' not in page
    assert not Comparable.objects.exists()


def test_very_many_wrong_cells_are_told_in_part_and_counted(manager):
    rows = "Larkfold,X,trike,2019,4,495,sold,2025-03-14\n" * 80
    page = manager.post(IMPORT, upload(CSV.splitlines()[0] + "\n" + rows)).content.decode()
    assert "80 things to mend" in page
    assert "And 30 more." in page


@pytest.mark.parametrize(
    ("sent", "what"),
    [
        ({}, "Choose a file first"),
        (upload(b""), "Choose a file first|empty"),
        (upload(b"PK\x03\x04"), "workbook"),
        (upload(b"x" * 500_001), "larger than 500 kB"),
        (upload("colour\nred\n"), "names no column"),
    ],
)
def test_what_is_no_table_is_refused_with_the_guide_beside_it(manager, sent, what):
    response = manager.post(IMPORT, sent)
    page = response.content.decode()
    assert response.status_code == 422
    assert re.search(what, page)
    assert "The columns" in page


def test_a_file_of_prices_that_are_here_offers_nothing_to_add(manager):
    import_file(CSV.encode(), expected=1, by=manager.person, shop=ShopFactory.create())
    page = manager.post(IMPORT, upload()).content.decode()
    assert "Nothing to add" in page
    assert 'name="kept"' not in page


def test_what_has_changed_since_the_look_is_shown_anew(manager):
    other = "Larkfold,Commuter 6,folding,2018,4,450,sold,2025-03-14\n"
    kept = kept_in(manager.post(IMPORT, upload(CSV + other)))
    import_file(CSV.encode(), expected=1, by=manager.person, shop=ShopFactory.create())
    response = manager.post(ADD, {"kept": kept})
    assert response.status_code == 422
    assert "has changed since" in response.content.decode()
    assert Comparable.objects.count() == 1
    assert manager.post(ADD, {"kept": kept_in(response)}).status_code == 302
    assert Comparable.objects.count() == 2


def test_pressing_add_twice_adds_once(manager):
    kept = kept_in(manager.post(IMPORT, upload()))
    assert manager.post(ADD, {"kept": kept}).status_code == 302
    assert manager.post(ADD, {"kept": kept}).status_code == 422
    assert Comparable.objects.count() == 1


@pytest.mark.parametrize("kept", ["", "made-up", "eyJ4IjoxfQ:1:abc"])
def test_a_look_that_was_not_ours_is_refused(manager, kept):
    response = manager.post(ADD, {"kept": kept})
    assert response.status_code == 422
    assert "Send the file again" in response.content.decode()


def test_a_look_expires(manager, monkeypatch):
    kept = kept_in(manager.post(IMPORT, upload()))
    monkeypatch.setattr(importing, "KEPT_SECONDS", -1)
    assert manager.post(ADD, {"kept": kept}).status_code == 422
    assert not Comparable.objects.exists()


# a bike's resale price


def test_the_page_shows_price_range_rows_picture_and_facts(manager):
    bike = BikeFactory.create(maker_year=2019)
    made = on_a_line(12)
    page = manager.get(page_of(bike)).content.decode()
    assert re.search(r'class="big-number">£\d+<', page)
    assert "12 prices used" in page
    for each in made:
        assert f"£{each.price:.2f} sold" in page
    svg = ET.fromstring(  # noqa: S314 - our own
        re.search(r"<svg[^>]*role=\"img\".*?</svg>", page, re.DOTALL)[0]
    )
    assert svg.get("aria-labelledby") == "price-by-age-title price-by-age-desc"
    assert "Time on the shelf" in page
    assert "Show the other 4" in page


def test_the_condition_it_is_sold_in_can_be_supposed(manager):
    bike = BikeFactory.create(maker_year=2019)
    for grade, price in ((2, 300), (4, 400)):
        for year in range(2015, 2020):
            ComparableFactory.create(condition=grade, price=Decimal(price), maker_year=year)
    tired = manager.get(page_of(bike), {"condition": "2"}).context["basis"]
    good = manager.get(page_of(bike)).context["basis"]
    assert tired.resale.likely < good.resale.likely
    odd = manager.get(page_of(bike), {"condition": "77"})
    assert odd.status_code == 200
    assert odd.context["basis"].condition == 4


def test_no_condition_can_be_supposed_where_it_would_change_nothing(manager):
    on_a_line(9)
    page = manager.get(page_of(BikeFactory.create(maker_year=2019))).content.decode()
    assert 'name="condition"' not in page


def test_without_a_price_it_says_no_basis_and_leads_on(manager):
    bike = BikeFactory.create()
    page = manager.get(page_of(bike)).content.decode()
    assert "No basis: enter a price" in page
    assert f"{NEW}?make=Larkfold" in page
    assert reverse("buyin:check", args=(bike.pk,)) in page


def test_a_row_is_dropped_with_a_reason_and_taken_back(manager):
    bike = BikeFactory.create(maker_year=2019)
    comparable = on_a_line(9)[0]
    drop = reverse("resale:drop", args=(bike.pk, comparable.pk))
    assert drop in manager.get(page_of(bike)).content.decode()
    assert manager.post(drop, {"reason": " "}).status_code == 422
    assert manager.post(drop, {"reason": "had an accident"})["Location"] == page_of(bike)
    page = manager.get(page_of(bike)).content.decode()
    assert "had an accident" in page
    assert "8 prices used" in page
    back = reverse("resale:take_back", args=(bike.pk, comparable.pk))
    assert manager.post(back)["Location"] == page_of(bike)
    assert not Dropped.objects.exists()
    assert "9 prices used" in manager.get(page_of(bike)).content.decode()
    assert manager.post(back).status_code == 404


def test_a_bike_or_comparable_that_is_gone_is_a_404(manager):
    bike, comparable = BikeFactory.create(), ComparableFactory.create()
    assert manager.get(reverse("resale:bike", args=(0,))).status_code == 404
    assert manager.get(reverse("resale:drop", args=(bike.pk, 0))).status_code == 404
    assert manager.get(reverse("resale:drop", args=(0, comparable.pk))).status_code == 404


def test_the_page_runs_as_many_queries_for_many_rows_as_for_few(manager):
    bike = BikeFactory.create(maker_year=2019)
    DroppedFactory.create(bike=bike, comparable=on_a_line(9)[0])
    few = queries_of(manager, page_of(bike))
    DroppedFactory.create(bike=bike, comparable=on_a_line(30)[0])
    assert queries_of(manager, page_of(bike)) == few


def test_the_accountant_reads_and_is_offered_no_dropping():
    ShopFactory.create()
    bike = BikeFactory.create(maker_year=2019)
    DroppedFactory.create(bike=bike, comparable=on_a_line(10)[0])
    client = Client()
    sign_in(client, accountant=True)
    page = client.get(page_of(bike)).content.decode()
    assert "9 prices used" in page
    assert ">Drop<" not in page
    assert "Take back" not in page


def test_the_bikes_page_leads_to_its_resale_price_for_those_who_may():
    ShopFactory.create()
    offered, repair = BikeFactory.create(), BikeFactory.create(repair=True)
    for role, bike, leads in (
        ("manager", offered, True),
        ("accountant", offered, True),
        ("desk", offered, False),
        ("manager", repair, False),
    ):
        client = Client()
        sign_in(client, **{role: True})
        page = client.get(reverse("bikes:detail", args=(bike.pk,))).content.decode()
        assert (page_of(bike) in page) is leads, (role, bike.purpose)


def test_the_first_page_counts_the_prices_for_those_who_may(manager):
    assert "No known prices" in manager.get("/").content.decode()
    on_a_line(3)
    assert "3 known prices of like bikes" in manager.get("/").content.decode()
    desk = Client()
    sign_in(desk, desk=True)
    assert "known prices" not in desk.get("/").content.decode()
