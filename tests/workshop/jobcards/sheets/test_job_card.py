"""The card on paper: everything to fill in by pen, and the code that opens the live one."""

from decimal import Decimal

import pypdfium2
import pytest
import zxingcpp
from django.urls import reverse

from tests.asking import queries_of
from tests.factories import jobcards as made
from tests.factories.inspections import MeasureFactory, ReadingFactory
from tests.factories.people import sign_in
from tests.factories.shop import ShopFactory
from tests.factories.stock import stocked
from tests.pdfs import read, words_of
from tests.quotes.print import reading
from workshop.core.judgement import Importance
from workshop.jobcards.asked import DeclinedAsked
from workshop.jobcards.verbs.tick import tick

pytestmark = pytest.mark.django_db
POINTS = {"a4": (595, 842), "a5": (420, 595)}


@pytest.fixture(autouse=True)
def shop():
    return ShopFactory.create()


@pytest.fixture
def full():
    """A card with a torque, a safety part, a measure, a caution, something declined, a check."""
    inspection = made.inspected_bike()
    play = made.found(inspection, "hub-play")
    measure = MeasureFactory.create(
        code="play", name="Play at the rim", checkpoint=play.check_made.checkpoint
    )
    ReadingFactory.create(check_made=play.check_made, measure=measure, value=Decimal("0.7"))
    made.operation(
        "hub",
        "wheel-out",
        torque_low_nm=Decimal(17),
        torque_high_nm=Decimal(25),
        caution="Mind the cones.",
    )
    part = stocked(5, code="cones", name="Hub cones", safety_critical=True)
    no = DeclinedAsked("Fit new grips", Importance.COULD)
    work = made.asked("hub", parts=(("hub", part, 2),), declined=(no,), findings={"hub": play})
    made.release_item("road-test")
    return made.a_card(work, inspection=inspection)


def printed(client, card, **query):
    return client.get(reverse("jobcards:print", args=(card.pk,)), query)


def test_it_has_all_that_is_written_down_at_the_bench(client, full):
    sign_in(client)
    text = words_of(printed(client, full).content)
    for words in (
        full.number,
        full.bike.stock_no,
        "Open up: Wheel out",
        "Mind the cones.",
        "2 pc Hub cones",
        "serial or batch",
        "Torque 17–25 N·m (150–221 lbf·in), ours",
        "Play at the rim (was 0.7 mm)",
        "Fit new grips",
        "not to be done",
        "Found on strip-down",
        "Road test",
        "Signed, when",
    ):
        assert words in text, words


def test_the_customer_is_not_named_on_it(client, full):
    sign_in(client)
    assert full.bike.customer.name not in words_of(printed(client, full).content)


def test_what_is_done_already_is_ticked_with_who_did_it(client, full, ada):
    task = full.tasks.order_by("position").first()
    tick(task, by=ada, key="k1", base_version=1)
    sign_in(client)
    assert "Ada Lune" in words_of(printed(client, full).content)


@pytest.mark.parametrize("size", ["a4", "a5"])
def test_the_code_on_it_opens_the_live_card(client, full, size):
    sign_in(client)
    pdf = printed(client, full, size=size).content
    box = read(pdf).pages[0].mediabox
    assert (round(box.width), round(box.height)) == POINTS[size]
    with pypdfium2.PdfDocument(pdf) as document:
        image = document[0].render(scale=300 / 72, grayscale=True).to_pil()
    (found,) = zxingcpp.read_barcodes(image)
    assert found.text == f"http://testserver{reverse('jobcards:card', args=(full.pk,))}"


def test_it_is_tagged_with_title_and_language(client, full):
    sign_in(client)
    pdf = printed(client, full).content
    reader = read(pdf)
    assert reader.trailer["/Root"]["/Lang"] == "en-GB"
    assert reader.metadata.title == f"Job card {full.number}: Larkfold Commuter 6"
    figures = [each for each in reading.elements(pdf) if each["/S"] == "/Figure"]
    assert all("The live card" in str(each["/Alt"]) for each in figures)
    assert figures


def test_other_sizes_there_are_none(client, full):
    sign_in(client)
    assert printed(client, full, size="a3").status_code == 404


def test_a_large_card_asks_the_database_as_often_as_a_small_one(client):
    sign_in(client)
    counts = []
    for many in (2, 9):
        inspection = made.inspected_bike()
        codes = [made.operation(f"op-{many}-{number}") for number in range(many)]
        found = {code: made.found(inspection, f"fault-{code}") for code in codes}
        for finding in found.values():
            MeasureFactory.create(checkpoint=finding.check_made.checkpoint)
        card = made.a_card(made.asked(*codes, findings=found), inspection=inspection)
        counts.append(queries_of(client, reverse("jobcards:print", args=(card.pk,))))
    assert counts[0] == counts[1]
