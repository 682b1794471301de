"""Pages on which a price list is sent in, read, looked at, applied."""

import csv
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inventory.pricelists.models import Incoming, Mapping, State
from inventory.suppliers.models import SupplierPart
from tests.asking import queries_of, text_of
from tests.factories.people import sign_in
from tests.factories.shop import ShopFactory
from tests.factories.suppliers import ArticleFactory, SupplierFactory, csv_of, read, sent, settled

pytestmark = pytest.mark.django_db

ROWS = [("S", "Same", 5, "", "", ""), ("D", "Dear", 12, "", "", ""), ("N", "New", 7, "", "", "")]


@pytest.fixture
def manager(client):
    ShopFactory.create()
    client.person = sign_in(client, manager=True)
    return client


@pytest.fixture
def supplier():
    made = SupplierFactory.create()
    ArticleFactory.create(supplier=made, code="S", name="Same", list_price_net=5)
    ArticleFactory.create(supplier=made, code="D", name="Dear", list_price_net=10)
    ArticleFactory.create(supplier=made, code="G", name="Gone")
    return made


def page(name, incoming):
    return reverse(f"pricelists:{name}", args=(incoming.pk,))


def send(client, supplier, data, name="list.csv"):
    url = reverse("pricelists:send", args=(supplier.pk,))
    return client.post(url, {"file": SimpleUploadedFile(name, data)})


def told(**more):
    return {
        "columns": "1",
        "column_code": "0",
        "column_name": "1",
        "column_price": "2",
        "column_gtin": "3",
        "column_pack": "4",
        "column_discount": "5",
        "decimal_mark": ".",
        "valid_from": "2026-03-02",
        "whole_range": "on",
        "jump_share": "30",
        "cost_rule": "all",
    } | more


def test_the_whole_way_without_a_script(manager, supplier):
    answer = send(manager, supplier, csv_of(ROWS))
    incoming = Incoming.objects.get()
    assert answer.url == page("columns", incoming)
    assert "Dear" in manager.get(answer.url).content.decode()
    assert manager.post(answer.url, told()).url == page("page", incoming)
    assert "Go on" in manager.get(page("page", incoming)).content.decode()
    manager.post(page("step", incoming))
    text = manager.get(page("page", incoming)).content.decode()
    for words in ("1 new", "1 dearer", "1 unchanged", "1 no longer in the list"):
        assert words in text
    answer = manager.post(page("apply", incoming), follow=True)
    assert "1 new, 1 changed, 1 no longer sold" in answer.content.decode()
    assert SupplierPart.objects.filter(valid_until=None).count() == 3


def test_columns_are_asked_once_a_supplier(manager, supplier):
    data = b"Thing,Words,Money\nX,New,7.50\n"
    first = sent(supplier, data)
    assert first.columns == {}
    manager.post(page("columns", first), told(column_gtin="", column_pack="", column_discount=""))
    assert Mapping.objects.get().columns == {"code": "Thing", "name": "Words", "price": "Money"}
    assert sent(supplier, b"Money,Thing,Words\n7.50,X,New\n").columns == {
        "price": 0,
        "code": 1,
        "name": 2,
    }
    assert sent(SupplierFactory.create(), data).columns == {}


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"column_price": ""}, "Choose the column in which it stands"),
        ({"column_price": "0"}, "is the Code already"),
        ({"column_price": "99"}, "Select a valid choice"),
        ({"valid_from": "2126-01-01"}, "still to come"),
        ({"jump_share": "0"}, "every change is suspicious"),
    ],
)
def test_columns_that_cannot_be_are_refused(manager, supplier, wrong, words):
    incoming = sent(supplier, csv_of(ROWS))
    answer = manager.post(page("columns", incoming), told(**wrong))
    assert answer.status_code == 422
    assert words in answer.content.decode()
    incoming.refresh_from_db()
    assert incoming.state == State.SENT


def test_how_a_file_is_written_can_be_changed(manager, supplier):
    incoming = sent(supplier, "Code,Name,Price\nA1,Glöcke,4.50\n".encode("cp1250"))
    facts = {"written": "1", "encoding": "mac-roman", "delimiter": ",", "head_row": "1"}
    assert manager.post(page("columns", incoming), facts).status_code == 302
    assert "Glˆcke" in manager.get(page("columns", incoming)).content.decode()
    answer = manager.post(page("columns", incoming), facts | {"encoding": "utf-8"})
    assert answer.status_code == 422
    assert "cannot be read as UTF-8" in answer.content.decode()
    assert manager.get(page("columns", incoming)).status_code == 200
    incoming.refresh_from_db()
    assert incoming.encoding == "mac-roman"


def test_a_broken_file_is_refused_on_the_page(manager, supplier):
    answer = send(manager, supplier, b"%PDF-1.7")
    assert answer.status_code == 422
    assert "This is a PDF" in answer.content.decode()
    url = reverse("pricelists:send", args=(supplier.pk,))
    assert "Choose a file first" in manager.post(url, {}).content.decode()


def test_a_step_answers_with_progress_then_with_the_page(manager, supplier, monkeypatch):
    monkeypatch.setattr("inventory.pricelists.verbs.read_on.SECONDS", 0)
    monkeypatch.setattr("inventory.pricelists.verbs.read_on.ROWS_AT_ONCE", 10)
    incoming = settled(sent(supplier, csv_of((f"A{n}", "N", 1, "", "", "") for n in range(25))))
    seen = []
    while True:
        answer = manager.post(page("step", incoming), headers={"HX-Request": "true"})
        if answer.status_code == 204:
            break
        seen.append(answer.content.decode())
        assert len(seen) < 9
    assert answer.headers["HX-Refresh"] == "true"
    incoming.refresh_from_db()
    assert (incoming.state, incoming.rows.count()) == (State.READ, 25)


def test_wrong_rows_are_listed_and_sent_as_a_file_that_runs_nothing(manager, supplier):
    data = b'Code,Name,Price\n"=cmd()",Bell,=1+1\nA2,Bag,3.10\n'
    incoming = read(supplier, data)
    assert "3 columns" not in manager.get(page("page", incoming)).content.decode()
    answer = manager.get(page("problems", incoming))
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    head, *rows = csv.reader(io.StringIO(text))
    assert head == ["row", "column", "what stands there", "what to do"]
    assert [row[:3] for row in rows] == [["2", "Price", "'=1+1"]]
    assert not any(cell[:1] in "=+-@" for row in rows for cell in row if cell)


def test_what_is_to_be_decided_is_asked_before_applying(manager, supplier):
    rows = [*ROWS, ("G", "Gone", 99, "", "", ""), ("W", "Wrong", "none", "", "", "")]
    incoming = read(supplier, csv_of(rows))
    answer = manager.post(page("apply", incoming))
    assert answer.status_code == 422
    assert "Tick this, or mend the rows" in answer.content.decode()
    answer = manager.post(page("apply", incoming), {"leave_wrong": "on"})
    assert "suspicious jumps and choose" in answer.content.decode()
    answer = manager.post(page("apply", incoming), {"leave_wrong": "on", "jumps": "take"})
    assert answer.status_code == 302


def test_rows_and_jumps_are_counted_as_the_list_has_them(manager, supplier):
    jumps = [("D", "Dear", 99, "", "", ""), ("S", "Same", 99, "", "", "")]
    one, two = (read(supplier, csv_of(rows)) for rows in (jumps[:1], jumps))
    for incoming, words in ((one, "1 suspicious jump "), (two, "2 suspicious jumps ")):
        text = text_of(manager.get(page("page", incoming)))
        assert words in text
        assert f"<dt>Rows read</dt> <dd>{words[0]}</dd>" in text


def test_a_list_that_is_outdated_is_read_again(manager, supplier):
    incoming = read(supplier, csv_of(ROWS))
    supplier.version += 1
    supplier.save()
    assert "have changed meanwhile" in manager.get(page("page", incoming)).content.decode()
    assert manager.post(page("apply", incoming)).status_code == 422
    manager.post(page("anew", incoming))
    manager.post(page("step", incoming))
    assert manager.post(page("apply", incoming)).status_code == 302


def test_a_list_is_discarded(manager, supplier, django_capture_on_commit_callbacks, settings):
    incoming = sent(supplier, csv_of(ROWS))
    with django_capture_on_commit_callbacks(execute=True):
        manager.post(page("discard", incoming))
    assert not list((settings.MEDIA_ROOT / "price-lists").iterdir())
    for name in ("page", "columns"):
        text = manager.get(page(name, incoming), follow=True).content.decode()
        assert "Nothing of it was applied" in text
    assert manager.post(page("apply", incoming)).status_code == 302
    assert SupplierPart.objects.filter(valid_until=None).count() == 3


def test_a_file_that_is_gone_is_said(manager, supplier):
    incoming = sent(supplier, csv_of(ROWS))
    incoming.clear_folder()
    assert manager.get(page("columns", incoming)).status_code == 200
    incoming.clear_folder()
    incoming.file.storage.delete(incoming.file.name)
    answer = manager.get(page("columns", incoming), follow=True)
    assert "Send it in anew" in answer.content.decode()


@pytest.mark.parametrize("show", ["new", "dearer", "vanished", "wrong", "same"])
def test_pages_run_a_constant_number_of_queries(manager, show):
    counts = []
    for size in (2, 20):
        made = SupplierFactory.create()
        rows = []
        for n in range(size):
            for code in "SDG":
                ArticleFactory.create(
                    supplier=made, code=f"{code}{n}", name=code, list_price_net=10
                )
            rows += [(f"S{n}", "S", 10, "", "", ""), (f"D{n}", "D", 11, "", "", "")]
            rows += [(f"N{n}", "N", 1, "", "", ""), (f"W{n}", "W", "none", "", "", "")]
        incoming = read(made, csv_of(rows))
        counts.append(queries_of(manager, f"{page('page', incoming)}?show={show}"))
    assert counts[0] == counts[1]


def test_the_list_of_lists_runs_a_constant_number_of_queries(manager):
    counts = []
    for size in (1, 6):
        for _ in range(size):
            sent(SupplierFactory.create(), csv_of(ROWS))
        counts.append(queries_of(manager, reverse("pricelists:list")))
    assert counts[0] == counts[1]
