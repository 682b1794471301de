"""Labels: what stands on them, that a scanner reads them, that they stand where they should."""

import pypdfium2
import pytest
import zxingcpp
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse

from tests.asking import queries_of
from tests.factories.bikes import BikeFactory
from tests.factories.labels import ROLL, label_size
from tests.factories.parts import PartFactory
from tests.factories.people import sign_in
from tests.pdfs import read, words_of
from tests.quotes.print import reading
from workshop.labels.models import LabelSize

pytestmark = pytest.mark.django_db
GTIN = "4006381333931"
DOTS = 300
"""To an inch, as a common printer has them."""


@pytest.fixture
def bench(client):
    sign_in(client)
    return client


@pytest.fixture
def size():
    return label_size()


def printed(client, kind, size, **query):
    asked = {"size": size.pk, "copies": 1, "first": 1, **query}
    return client.get(reverse(f"labels:{kind}"), asked)


def scanned(pdf):
    """Return what a scanner reads on the first page as it is printed."""
    with pypdfium2.PdfDocument(pdf) as document:
        image = document[0].render(scale=DOTS / 72, grayscale=True).to_pil()
    return sorted(each.text for each in zxingcpp.read_barcodes(image))


def test_a_bikes_label_names_it(bench, size):
    bike = BikeFactory.create()
    answer = printed(bench, "bikes", size, bikes=bike.stock_no)
    assert answer["Content-Type"] == "application/pdf"
    text = words_of(answer.content)
    assert bike.stock_no in text
    assert "Larkfold Commuter 6, dark green" in text
    assert f"Frame {bike.frame_number}" in text


def test_a_scanner_reads_number_and_page_off_a_printed_sheet(bench, size):
    bikes = BikeFactory.create_batch(3)
    text = "\n".join(each.stock_no for each in bikes)
    pdf = printed(bench, "bikes", size, bikes=text).content
    pages = [f"http://testserver{reverse('bikes:detail', args=(each.pk,))}" for each in bikes]
    assert scanned(pdf) == sorted([*(each.stock_no for each in bikes), *pages])


def test_a_scanner_reads_it_off_a_single_label(bench):
    roll = label_size("roll", **ROLL)
    bike = BikeFactory.create()
    pdf = printed(bench, "bikes", roll, bikes=bike.stock_no).content
    page = f"http://testserver{reverse('bikes:detail', args=(bike.pk,))}"
    assert scanned(pdf) == sorted([bike.stock_no, page])


def test_a_part_is_scanned_by_its_article_number_else_by_our_code(bench, size):
    PartFactory.create(code="cones", gtin=GTIN, place="B2")
    PartFactory.create(code="a-part-with-a-code-far-too-long-for-bars-on-a-label", gtin="")
    asked = "cones, a-part-with-a-code-far-too-long-for-bars-on-a-label"
    pdf = printed(bench, "parts", size, parts=asked).content
    assert scanned(pdf) == sorted([GTIN, "a-part-with-a-code-far-too-long-for-bars-on-a-label"])
    assert "Shelf B2" in words_of(pdf)


def test_all_of_a_shelf_is_labelled_at_once(bench, size):
    for number in range(3):
        PartFactory.create(code=f"part-{number}", place="C1")
    PartFactory.create(code="elsewhere", place="C2")
    text = words_of(printed(bench, "parts", size, place="c1").content)
    assert all(f"part-{number}" in text for number in range(3))
    assert "elsewhere" not in text


@pytest.mark.parametrize(
    ("copies", "first", "pages"), [(1, 1, 1), (21, 1, 1), (22, 1, 2), (2, 21, 2)]
)
def test_copies_fill_sheets_from_the_first_free_label_on(bench, size, copies, first, pages):
    bike = BikeFactory.create()
    pdf = printed(bench, "bikes", size, bikes=bike.stock_no, copies=copies, first=first).content
    assert len(read(pdf).pages) == pages


def test_the_sheet_has_the_size_that_is_set(bench):
    roll = label_size("roll", **ROLL)
    bike = BikeFactory.create()
    box = read(printed(bench, "bikes", roll, bikes=bike.stock_no).content).pages[0].mediabox
    assert float(box.width) == pytest.approx(62 * 72 / 25.4, abs=0.5)
    assert float(box.height) == pytest.approx(29 * 72 / 25.4, abs=0.5)


def test_it_is_tagged_and_each_code_has_words(bench, size):
    bike = BikeFactory.create()
    pdf = printed(bench, "bikes", size, bikes=bike.stock_no).content
    figures = [each for each in reading.elements(pdf) if each["/S"] == "/Figure"]
    assert f"Bars: {bike.stock_no}" in {str(each["/Alt"]) for each in figures}
    assert read(pdf).metadata.title == "Labels of bikes"


def test_the_same_labels_have_the_same_bytes(bench, size):
    bike = BikeFactory.create()
    once = printed(bench, "bikes", size, bikes=bike.stock_no).content
    assert printed(bench, "bikes", size, bikes=bike.stock_no).content == once


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ({"bikes": "B9999"}, "Not found: B9999"),
        ({"bikes": ""}, "required"),
        ({"bikes": "B0001", "first": 22}, "has 21 labels"),
        ({"bikes": "B0001", "copies": 51}, "less than or equal to 50"),
    ],
)
def test_what_cannot_be_printed_is_told(bench, size, query, words):
    BikeFactory.create()
    answer = printed(bench, "bikes", size, **query)
    assert answer.status_code == 422
    assert words in answer.content.decode()


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ({"parts": "nothing"}, "Not found: nothing"),
        ({}, "Write codes or article numbers, or a shelf place."),
        ({"place": "Z9"}, "Nothing lies at"),
    ],
)
def test_parts_that_are_not_there_are_told(bench, size, query, words):
    answer = printed(bench, "parts", size, **query)
    assert answer.status_code == 422
    assert words in answer.content.decode()


def test_no_more_than_four_sheets_are_made_at_once(bench, size):
    bikes = BikeFactory.create_batch(11)
    text = ",".join(each.stock_no for each in bikes)
    answer = printed(bench, "bikes", size, bikes=text, copies=50)
    assert answer.status_code == 422
    assert "At most 260" in answer.content.decode()


def test_a_bikes_page_and_a_parts_page_lead_to_their_labels(bench, size):
    bike, part = BikeFactory.create(), PartFactory.create(code="cones")
    shown = bench.get(reverse("bikes:detail", args=(bike.pk,))).content.decode()
    assert f"{reverse('labels:bikes')}?bikes={bike.stock_no}" in shown
    shown = bench.get(reverse("stock:part", args=(part.pk,))).content.decode()
    assert f"{reverse('labels:parts')}?parts=cones" in shown
    asked = bench.get(reverse("labels:bikes"), {"bikes": bike.stock_no})
    assert asked.status_code == 200
    assert bike.stock_no in asked.content.decode()


def test_many_labels_ask_the_database_no_oftener_than_one(bench, size):
    few = [BikeFactory.create().stock_no]
    url = reverse("labels:bikes")
    query = {"size": str(size.pk), "copies": "1", "first": "1"}
    once = queries_of(bench, url, bikes=few[0], **query)
    many = ",".join(each.stock_no for each in BikeFactory.create_batch(12))
    assert queries_of(bench, url, bikes=many, **query) == once


# sizes


def test_a_size_that_overlaps_is_refused(size):
    size.across = 60
    with pytest.raises(ValidationError, match="overlap"):
        size.full_clean()


def test_the_database_refuses_a_label_larger_than_its_sheet(size):
    with pytest.raises(IntegrityError), transaction.atomic():
        LabelSize.objects.filter(pk=size.pk).update(width=300)


# scanning


@pytest.mark.parametrize("place", ["bikes:list", "stock:list"])
@pytest.mark.parametrize("written", ["{}", " {} ", "http://testserver{url}"])
def test_a_scanned_label_opens_its_bike_from_either_search(bench, place, written):
    bike = BikeFactory.create()
    page = reverse("bikes:detail", args=(bike.pk,))
    answer = bench.get(reverse(place), {"q": written.format(bike.stock_no, url=page)})
    assert answer.status_code == 302
    assert answer["Location"] == page


@pytest.mark.parametrize("place", ["bikes:list", "stock:list"])
def test_a_scanned_article_number_opens_its_part_from_either_search(bench, place):
    part = PartFactory.create(gtin=GTIN)
    answer = bench.get(reverse(place), {"q": GTIN})
    assert answer["Location"] == reverse("stock:part", args=(part.pk,))


@pytest.mark.parametrize("text", ["larkfold", "b", "http://other.example/nowhere"])
def test_what_is_no_code_is_searched_for(bench, text):
    BikeFactory.create()
    assert bench.get(reverse("bikes:list"), {"q": text}).status_code == 200


def test_a_part_named_as_people_search_for_bikes_does_not_catch_their_search(bench):
    PartFactory.create(code="mustard")
    assert bench.get(reverse("bikes:list"), {"q": "mustard"}).status_code == 200


def test_an_address_of_another_site_is_not_followed_there(bench):
    for text in ("http://evil.example//evil.example/", "https://evil.example/bikes/"):
        answer = bench.get(reverse("bikes:list"), {"q": text})
        assert answer.get("Location", "/").startswith("/")
        assert not answer.get("Location", "/").startswith("//")
