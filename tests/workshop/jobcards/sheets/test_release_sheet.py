"""The release sheet: what stands on it, that it is kept, and that its bytes never differ."""

import datetime as dt
import hashlib
import os
import pickle
import subprocess
import sys
from decimal import Decimal

import pytest
from django.conf import settings
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.paper.press import pdf_of, set_up_afresh
from tests.factories import jobcards as made
from tests.factories.inspections import JudgementRuleFactory, MeasureFactory, ReadingFactory
from tests.factories.people import CustomerFactory, sign_in
from tests.factories.shop import ShopFactory
from tests.factories.stock import stocked
from tests.pdfs import read, words_of
from tests.quotes.print import reading
from workshop.bikes.models import Bike
from workshop.core.judgement import Importance, Judgement
from workshop.jobcards.asked import DeclinedAsked
from workshop.jobcards.models import JobCard, KeptSheetError, ReleaseSheet
from workshop.jobcards.sheets.gathering import sheet_paper
from workshop.jobcards.sheets.pdf import sheet_html
from workshop.jobcards.verbs.parts import draw_part, give_part_back
from workshop.jobcards.verbs.read import MakerFigure, note_readings
from workshop.jobcards.verbs.release import release_bike
from workshop.jobcards.verbs.sign import sign
from workshop.shop.models import Shop

pytestmark = pytest.mark.django_db
NEXT = dt.date(2027, 5, 26)


@pytest.fixture
def shop():
    return ShopFactory.create()


@pytest.fixture
def worked(shop, ada, ben, finish):
    """A card of which everything there is was done: parts, readings, torques, a declined fork."""
    inspection = made.inspected_bike(
        customer=CustomerFactory.create(name="Ottoline Weir"), frame_number="FN-777"
    )
    play = made.found(inspection, "hub-play")
    measure = MeasureFactory.create(
        code="play", name="Play at the rim", checkpoint=play.check_made.checkpoint
    )
    rule = JudgementRuleFactory.create(measure=measure, fault=play.fault, at_least=Decimal("0.3"))
    JudgementRuleFactory.create(
        measure=measure, fault=None, below=Decimal("0.3"), judgement=Judgement.SOUND.value
    )
    type(play).objects.filter(pk=play.pk).update(rule=rule)
    ReadingFactory.create(check_made=play.check_made, measure=measure, value=Decimal("0.7"))
    bent = made.found(inspection, "fork-bent", default_judgement="unsafe")
    made.found(inspection, "bell-missing", default_judgement="watch")
    type(bent).objects.filter(pk=bent.pk).update(judgement="unsafe")
    span = {"torque_low_nm": Decimal(17), "torque_high_nm": Decimal(25)}
    made.operation("hub", **span, torque_source="a table of the trade")
    cones = stocked(5, code="cones", name="Hub cones", safety_critical=True)
    no = DeclinedAsked(
        "Fit a new fork",
        Importance.MUST,
        place="Fork: bent",
        words="A bent fork breaks without a warning.",
        judgement=Judgement.UNSAFE,
        findings=(bent.pk,),
    )
    work = made.asked("hub", parts=(("hub", cones, 3),), declined=(no,), findings={"hub": play})
    card = made.a_card(work, inspection=inspection)
    row = made.row_of(card, "cones")
    draw_part(row, quantity=Decimal(3), by=ada, key="d1", serial="LOT-4711")
    give_part_back(row, quantity=Decimal(1), by=ada, key="d2")
    note_readings(
        made.task_of(card, "hub"),
        by=ada,
        key="r1",
        torque=Decimal(20),
        values={"play": Decimal("0.1")},
    )
    finish(card, ada)
    return card


@pytest.fixture
def gone(worked, ben):
    """The same card, signed and released."""
    item = made.release_item("road-test")
    sign(worked, item, by=ben, key="s1", note="Twice round the block.")
    return release_bike(worked, by=ben, key="z1", next_check_on=NEXT, told_declined=True)


def kept(card):
    return bytes(ReleaseSheet.objects.get(card=card).pdf)


def test_it_says_what_was_done_with_what_and_how_it_measures_now(gone, ada, ben):
    text = words_of(kept(gone))
    for words in (
        "Release sheet",
        gone.number,
        "Ottoline Weir",
        "FN-777",
        "Hub play point: Hub play",
        "Hub cones 2 pc LOT-4711",
        "Play at the rim needs work 0.7 mm sound 0.1 mm",
        "sound 20 N·m 17–25 N·m (150–221 lbf·in) ours",
        "Next check by 26 May 2027",
        f"Road test Twice round the block. {ben}",
        "they go before ours",
    ):
        assert words in text, words
    assert "a table of the trade" not in text


def test_what_was_declined_says_why_it_matters_and_not_to_ride(gone):
    text = words_of(kept(gone))
    assert "Do not ride this bike" in text
    assert "A bent fork breaks without a warning." in text
    assert "Fit a new fork must do" in text
    assert "I was told what was declined" in text
    assert "Bell missing" in text


def test_the_makers_figure_is_named_as_theirs(worked, ada, ben):
    maker = MakerFigure(Decimal(19), Decimal(21), "on the axle")
    note_readings(made.task_of(worked, "hub"), by=ada, key="r9", torque=Decimal(20), maker=maker)
    card = release_bike(worked, by=ben, key="z1", told_declined=True)
    text = words_of(kept(card))
    assert "19–21 N·m (168–186 lbf·in) the maker’s: on the axle" in text


def test_it_is_tagged_with_title_and_language(gone):
    data = kept(gone)
    reader = read(data)
    root = reader.trailer["/Root"]
    assert root["/Lang"] == "en-GB"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"] == True  # noqa: E712 - a PDF's boolean
    assert reader.metadata.title == f"Release sheet {gone.number}: Larkfold Commuter 6"
    assert b'pdfuaid:part="1"' in root["/Metadata"].get_object().get_data()
    kinds = {each["/S"] for each in reading.elements(data)}
    assert {"/H1", "/H2", "/Table", "/TH", "/TD", "/L"} <= kinds


def test_every_judgement_has_its_word_so_that_it_reads_without_colour(gone):
    html = sheet_html(sheet_paper(JobCard.objects.get(pk=gone.pk), Shop.objects.get()))
    for mark in ("needs_work", "sound", "unsafe", "watch"):
        assert f'<span class="mark mark-{mark}">{mark.replace("_", " ")}</span>' in html


def test_each_download_gives_the_bytes_that_were_kept(client, gone):
    sign_in(client, desk=True)
    url = reverse("jobcards:sheet", args=(gone.pk,))
    first, second = client.get(url), client.get(url)
    assert first.content == second.content == kept(gone)
    assert first["Content-Type"] == "application/pdf"
    assert f"{gone.number}-release.pdf" in first["Content-Disposition"]
    assert ReleaseSheet.objects.get().sha256 == hashlib.sha256(first.content).hexdigest()


def test_what_changes_later_does_not_reach_a_sheet_that_was_given(client, gone):
    before = kept(gone)
    Bike.objects.update(make="Another")
    Shop.objects.update(name="Another shop")
    sign_in(client, desk=True)
    assert client.get(reverse("jobcards:sheet", args=(gone.pk,))).content == before


def test_before_the_release_there_is_none(client, card):
    sign_in(client, desk=True)
    assert client.get(reverse("jobcards:sheet", args=(card.pk,))).status_code == 404


def test_a_mechanic_who_may_not_see_customers_does_not_get_the_sheet(client, gone):
    sign_in(client)
    assert client.get(reverse("jobcards:sheet", args=(gone.pk,))).status_code == 403


def test_the_database_refuses_to_change_a_sheet(gone):
    with pytest.raises(IntegrityError, match="given to the customer"), transaction.atomic():
        ReleaseSheet.objects.update(pdf=b"other")


@pytest.mark.postgres
def test_the_database_refuses_to_delete_a_sheet(gone):
    with pytest.raises(IntegrityError, match="kept"), transaction.atomic():
        ReleaseSheet.objects.all()._raw_delete("default")


def test_the_model_refuses_both(gone):
    sheet = ReleaseSheet.objects.get()
    with pytest.raises(KeptSheetError):
        sheet.save()
    with pytest.raises(KeptSheetError):
        sheet.delete()


def test_a_sheet_that_cannot_be_printed_lets_no_bike_go(worked, ben, monkeypatch):
    def broken(*_args):
        raise OSError("no fonts")

    monkeypatch.setattr("workshop.jobcards.verbs.release.sheet_pdf", broken)
    with pytest.raises(OSError, match="no fonts"):
        release_bike(worked, by=ben, key="z1", told_declined=True)
    worked.refresh_from_db()
    assert worked.state == "checking"


def test_a_press_set_up_afresh_gives_the_same_bytes(gone):
    html = sheet_html(sheet_paper(JobCard.objects.get(pk=gone.pk), Shop.objects.get()))
    once = pdf_of(html)
    set_up_afresh()
    assert pdf_of(html) == once


IN_ANOTHER_PROCESS = """
import hashlib, pathlib, pickle, sys
import django
django.setup()
from inventory.paper.press import pdf_of
print(hashlib.sha256(pdf_of(pickle.loads(pathlib.Path(sys.argv[1]).read_bytes()))).hexdigest())
"""


def test_another_process_gives_the_same_bytes_as_were_kept(gone, tmp_path):
    html = sheet_html(sheet_paper(JobCard.objects.get(pk=gone.pk), Shop.objects.get()))
    (tmp_path / "page").write_bytes(pickle.dumps(html))
    done = subprocess.run(
        [sys.executable, "-c", IN_ANOTHER_PROCESS, str(tmp_path / "page")],
        env=os.environ | {"PYTHONHASHSEED": "4242", "DJANGO_SETTINGS_MODULE": "workshop.settings"},
        cwd=settings.BASE_DIR,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == ReleaseSheet.objects.get().sha256


def queries(card, shop):
    with CaptureQueriesContext(
        connection,
    ) as run:
        sheet_html(sheet_paper(JobCard.objects.select_related("bike").get(pk=card.pk), shop))
    return len(run)


def test_the_sheet_asks_the_database_as_often_for_a_large_card(ada, ben, finish, shop):
    sizes = []
    for many in (1, 8):
        inspection = made.inspected_bike()
        codes = [made.operation(f"op-{many}-{number}") for number in range(many)]
        found = {code: made.found(inspection, f"fault-{code}") for code in codes}
        card = made.a_card(made.asked(*codes, findings=found), inspection=inspection)
        finish(card, ada)
        item = made.release_item(f"item-{many}")
        for each in type(item).objects.all():
            sign(card, each, by=ben, key=made.a_key())
        release_bike(card, by=ben, key=made.a_key())
        sizes.append(queries(card, shop))
    assert sizes[0] == sizes[1]


def test_the_bikes_page_leads_to_its_sheet(client, gone):
    sign_in(client, desk=True)
    page = client.get(reverse("bikes:detail", args=(gone.bike_id,))).content.decode()
    assert reverse("jobcards:sheet", args=(gone.pk,)) in page
    assert "Next check by 26 May 2027" in page
