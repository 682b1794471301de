"""The printed quote, read back from its bytes."""

from __future__ import annotations

import hashlib
import os
import pickle
import re
import subprocess
import sys
from decimal import Decimal

import pytest
from django.conf import settings

from inventory.paper.press import pdf_of, set_up_afresh
from quotes.print import pdf as printing
from quotes.print.amounts import TotalsDifferError
from quotes.quoting.models import LineKind, QuotedFinding
from quotes.quoting.selectors.page import revision_for_page
from tests.factories.bikes import BikeFactory
from tests.factories.people import CustomerFactory
from tests.factories.printing import RevisionBuilder, full_builder
from tests.quotes.print import reading
from workshop.core.judgement import Judgement

pytestmark = pytest.mark.django_db

FIRST = "Finding and work"
TOTALS = "Totals"
OUR_FONTS = re.compile("(Source-Sans-3|Zilla-Slab|Noto-Sans-Arabic|Noto-Sans-Hebrew|Noto-Emoji)")


@pytest.fixture(autouse=True)
def _no_complaint(caplog):
    """The library complains of nothing: no missing letter, picture, style rule or words."""
    yield
    complaints = [each for each in caplog.get_records("call") if each.name == "weasyprint"]
    assert [each.getMessage() for each in complaints] == []


def rendered(revision) -> bytes:
    """Print a revision as it stands in the database."""
    return printing.render_revision(revision_for_page(revision.pk))


def test_every_finding_is_printed_with_what_was_measured_and_what_cures_it():
    revision = full_builder().send()
    text = reading.text_of(rendered(revision))
    rows = list(QuotedFinding.objects.filter(revision=revision))
    assert len(rows) == 8
    for number, row in enumerate(rows, start=1):
        assert f"{number}. {row.checkpoint_name}: {row.title}" in text
        assert row.words in text
        assert not row.readings or f"Measured: {row.readings}" in text
        assert row.remedy_name in text
        assert row.note in text


def test_findings_stand_in_the_order_of_the_walk():
    revision = full_builder().send()
    rows = enumerate(QuotedFinding.objects.filter(revision=revision).order_by("position"), start=1)
    text = reading.text_of(rendered(revision))
    places = [text.index(f"{number}. {row.checkpoint_name}: {row.title}") for number, row in rows]
    assert places == sorted(places)


def test_every_total_is_the_sum_of_the_printed_lines():
    made = full_builder()
    data = rendered(made.send())
    rows = reading.triples(reading.between(data, FIRST, TOTALS))
    assert len(rows) == made.revision.lines.filter(left_out=False).count()
    for net, vat, gross in rows:
        assert gross == net + vat
    sums = reading.triples(reading.between(data, "How long it may wait", "VAT at"))
    *by_importance, whole = sums
    assert whole == reading.sum_of(rows) == reading.sum_of(by_importance)
    rates = re.findall(
        rf"VAT at [\d.]+% on {reading.AMOUNT}: {reading.AMOUNT}", reading.text_of(data)
    )
    assert sum(reading.money(net) for net, _ in rates) == whole[0]
    assert sum(reading.money(vat) for _, vat in rates) == whole[1]


def test_the_first_page_says_what_it_comes_to():
    first = " ".join(reading.pages_of(rendered(full_builder().send()))[0].split())
    assert "This is a quote, not an estimate." in first
    assert "if you accept it by 2 December 2026" in first
    assert "Issued 3 November 2026" in first
    assert "Must do £77.34" in first
    assert "Should do £157.71" in first
    assert "Could wait £44.99" in first
    assert "All of it £280.04" in first
    for word in ("unsafe", "needs work", "watch", "sound", "could not test"):
        assert word in first


def test_head_customer_and_bike_are_named():
    bike = BikeFactory.create(
        make="Larkfold",
        frame_number="LF 20-771",
        customer=CustomerFactory.create(name="Zoë Larsen", address="14 Mill Row\nUpper Combe"),
    )
    text = reading.text_of(rendered(full_builder(bike).send()))
    for words in (
        "The Folding Yard",
        "1 Invented Lane",
        "01632 960001",
        "VAT number GB980780684",
        "Zoë Larsen",
        "Upper Combe",
        f"Stock number {bike.stock_no}",
        "Frame number LF 20-771",
        "Built 2019",
    ):
        assert words in text


def test_shared_work_is_charged_once_and_says_for_which_findings():
    text = reading.text_of(rendered(full_builder().send()))
    assert text.count("Rear wheel out and in") == 1
    assert "charged once, for nos. 2, 3 and 4" in text
    assert "charged once, for nos. 5 and 7" in text
    assert "Put right together with no. 5 and charged there." in text


def test_what_is_left_out_or_needless_is_seen_and_counts_nothing():
    made = full_builder()
    before = made.revision.gross
    text = reading.text_of(rendered(made.send()))
    assert "Chain guard left out: not wanted left out" in text
    assert "Made needless by “Renew chain and sprockets”: nothing is charged for it." in text
    assert before == Decimal("280.04")


def test_a_finding_without_price_is_shown_beside_the_totals():
    made = full_builder()
    made.finding("Saddle", "Torn cover", remedy=None)
    first, *rest = reading.pages_of(rendered(made.revision))
    assert "Not priced yet and not in these sums: no. 9 Saddle." in " ".join(first.split())
    assert "Not priced yet: it is not in the totals below." in " ".join(" ".join(rest).split())


def test_no_work_offered_gives_its_reason():
    made = full_builder()
    made.finding("Saddle", "Torn cover", no_work_reason="you have a saddle of your own")
    text = reading.text_of(rendered(made.send()))
    assert "No work is offered for it: you have a saddle of your own" in text
    assert "Not priced yet" not in text


def test_what_was_not_tested_not_looked_at_and_not_included_is_listed():
    text = reading.text_of(rendered(full_builder().send()))
    assert "Bottom bracket could not be tested: the cranks are seized on" in text
    assert "Not looked at: Lights." in text
    assert "Faults that show only once a part is off: we ask before we go on." in text


def test_cautions_come_from_the_work_and_the_maker_goes_first():
    text = reading.text_of(rendered(full_builder().send()))
    assert "until what is marked unsafe has been put right: Main frame hinge, Rear brake." in text
    assert "Brakes: new blocks, pads and cables bed in." in text
    assert "Hinges and clamps: see that each is home" in text
    assert "Wheels: new spokes settle." not in text
    assert "they go before ours" in text


def test_there_is_room_to_say_yes_by_importance():
    text = reading.text_of(rendered(full_builder().send()))
    answer = text[text.index("Your answer") :]
    assert "All of it £280.04" in answer
    assert "Must do £77.34" in answer
    assert "Signature" in answer
    assert "by 2 December 2026" in answer


def test_each_page_carries_its_number_and_the_quotes():
    pages = reading.pages_of(rendered(full_builder().send()))
    assert len(pages) > 2
    for number, page in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in page
        assert "The Folding Yard · Q0001 · revision 1" in page


def test_a_draft_says_so_on_each_page_and_a_sent_one_nowhere():
    made = full_builder()
    drafts = reading.pages_of(rendered(made.revision))
    assert all("DRAFT: nothing is offered yet" in page for page in drafts)
    assert "not an estimate" not in " ".join(drafts)
    assert not any("draft" in page.lower() for page in reading.pages_of(rendered(made.send())))


def test_a_deal_breaker_stands_on_top_and_no_price_is_printed():
    made = full_builder()
    made.finding("Rear stays", "Bent by a fall", Judgement.UNSAFE, deal_breaker=True, remedy=None)
    made.revision.no_price = True
    made.revision.save()
    data = rendered(made.send())
    first = " ".join(reading.pages_of(data)[0].split())
    assert "No price is offered" in first
    assert "Why no price is offered Rear stays: Bent by a fall (no. 9)" in first
    text = reading.text_of(data)
    assert "£" not in text
    assert "Your answer" not in text
    assert "9. Rear stays: Bent by a fall" in text
    assert "1. Main frame hinge" in text


def test_a_shop_not_registered_prints_one_column_and_no_vat():
    made = RevisionBuilder(vat_rate=Decimal(0))
    made.shop.vat_registered = False
    made.shop.save()
    hub = made.finding("Rear hub", "Play")
    made.line("Adjust the hub", "20.00", [hub])
    made.line("Cones", "7.35", [hub], LineKind.PART)
    data = rendered(made.send())
    text = reading.text_of(data)
    assert "The shop is not registered for VAT: none is charged." in text
    assert text.count("VAT") == 1
    body = reading.between(data, FIRST, TOTALS)
    assert [reading.money(each) for each in reading.ONE.findall(body)] == [
        Decimal("20.00"),
        Decimal("7.35"),
    ]
    assert "All of it £27.35" in text


def test_a_rate_other_than_the_usual_is_named_at_its_line():
    text = reading.text_of(rendered(full_builder().send()))
    assert "Finding and work Net VAT 20% To pay" in text
    assert "Book on mending, VAT 0%" in text
    assert text.count("VAT 0%") == 1


def test_what_changed_since_the_last_revision_is_told():
    made = full_builder()
    made.send()
    made.next_revision()
    hinge = made.finding("Main frame hinge", "Movement in the closed hinge", Judgement.UNSAFE)
    made.line("Strip, ream and set the main hinge", "35.00", [hinge])
    text = reading.text_of(rendered(made.send()))
    changes = text[text.index("What changed since revision 1") :]
    assert "Strip, ream and set the main hinge: dearer £38.40 £42.00" in changes
    assert "Brake pads: gone £11.94 –" in changes
    assert "All of it £280.04 £42.00" in changes


def test_the_first_revision_has_nothing_to_compare():
    assert "What changed" not in reading.text_of(rendered(full_builder().send()))


def test_lines_that_do_not_add_up_to_the_revision_are_not_printed():
    made = full_builder()
    made.revision.gross += Decimal("0.01")
    made.revision.save()
    with pytest.raises(TotalsDifferError, match=r"add up to 280\.04.*says 280\.05"):
        rendered(made.revision)


def test_it_is_tagged_with_language_title_and_author():
    data = rendered(full_builder().send())
    reader = reading.read(data)
    root = reader.trailer["/Root"]
    assert root["/Lang"] == "en-GB"
    assert root["/MarkInfo"]["/Marked"] == True  # noqa: E712 - a PDF's boolean
    assert root["/ViewerPreferences"]["/DisplayDocTitle"] == True  # noqa: E712 - the same
    assert reader.metadata.title == "Quote Q0001, revision 1: Larkfold Commuter 6"
    assert reader.metadata.author == "The Folding Yard"
    assert b'pdfuaid:part="1"' in root["/Metadata"].get_object().get_data()


def test_headings_rows_and_pictures_are_tagged_and_pictures_have_words():
    made = full_builder()
    found = reading.elements(rendered(made.send()))
    kinds = [each["/S"] for each in found]
    assert kinds.count("/H1") == 1
    assert kinds.count("/H3") == 10
    assert {"/Table", "/TR", "/TH", "/TD", "/L", "/LI"} <= set(kinds)
    figures = [each for each in found if each["/S"] == "/Figure"]
    assert len(figures) == 1
    assert all(each["/Alt"] for each in figures)
    last = 0
    for level in (int(kind[2:]) for kind in kinds if re.fullmatch(r"/H[1-6]", kind)):
        assert level <= last + 1
        last = level


def test_names_from_right_to_left_and_emoji_are_printed_in_our_own_fonts():
    bike = BikeFactory.create(
        make="🦊 Łarkfold",
        model="סיטי 6",
        colour="grün 💚",
        customer=CustomerFactory.create(name="ليلى حداد דנה כהן 🚲", address="شارع الربيع"),
    )
    data = rendered(full_builder(bike).send())
    text = reading.text_of(data)
    for words in ("🦊", "סיטי", "💚", "דנה כהן", "🚲", "Łarkfold"):
        assert words in text
    names = reading.font_names(data)
    assert len(names) > 4
    assert all(OUR_FONTS.match(name) for name in names), names


def test_a_letter_that_no_font_has_is_told(caplog):
    bike = BikeFactory.create(customer=CustomerFactory.create(name="Letter \U0010f9a9"))
    rendered(full_builder(bike).send())
    assert "notdef" in caplog.text
    caplog.clear()


def test_long_words_wrap_and_stay_on_the_paper():
    word = "Donaudampfschifffahrtsgesellschaft" * 3
    made = RevisionBuilder(bike=BikeFactory.create(customer=CustomerFactory.create(name=word)))
    hub = made.finding("Rear hub", "Play")
    made.line(word, "5.00", [hub], LineKind.PART)
    pages = reading.read(rendered(made.send())).pages
    text = "\n".join(page.extract_text() for page in pages)
    assert word not in text
    assert text.replace("\n", "").count(word) == 2


@pytest.mark.parametrize("loaded", [True, False])
def test_it_prints_with_and_without_photos_and_drawing(loaded):
    made = full_builder()
    if loaded:
        made.with_photos()
    else:
        for check in made.inspection.checks.select_related("checkpoint"):
            check.checkpoint.folding_x = None
            check.checkpoint.save()
    data = rendered(made.send())
    found = [each for each in reading.elements(data) if each["/S"] == "/Figure"]
    assert len(found) == (5 if loaded else 0)
    assert all(each["/Alt"] for each in found)
    assert ("and 1 more at the shop" in reading.text_of(data)) is loaded


def test_large_photos_make_a_small_file():
    made = full_builder()
    made.with_photos(width=4000, height=3000)
    assert len(rendered(made.send())) < 400_000


def test_a_photo_that_is_gone_is_left_out(settings, caplog):
    made = full_builder()
    made.with_photos()
    for file in settings.MEDIA_ROOT.rglob("*.jpg"):
        file.unlink()
    data = rendered(made.send())
    assert [each["/S"] for each in reading.elements(data)].count("/Figure") == 1
    assert "the quote is printed without it" in caplog.text


def test_five_hundred_lines_add_up_over_all_their_pages():
    made = full_builder()
    rows = list(made.revision.findings.all())
    made.many_lines(500, rows)
    data = rendered(made.send())
    pages = reading.pages_of(data)
    assert f"page {len(pages)} of {len(pages)}" in pages[-1]
    printed = reading.triples(reading.between(data, FIRST, TOTALS))
    assert len(printed) == made.revision.lines.filter(left_out=False).count() > 500
    assert reading.sum_of(printed)[2] == made.revision.gross
    inner = [page for page in pages[2:] if reading.triples(page)]
    assert sum("Net VAT 20% To pay" in page for page in inner) >= len(inner) - 2


def test_the_same_revision_gives_the_same_bytes_even_from_a_press_set_up_afresh():
    made = full_builder()
    made.with_photos()
    revision = made.send()
    once = rendered(revision)
    assert rendered(revision) == once
    set_up_afresh()
    assert rendered(revision) == once


IN_ANOTHER_PROCESS = """
import hashlib, pathlib, pickle, sys
import django
django.setup()
from inventory.paper.press import pdf_of
print(hashlib.sha256(pdf_of(*pickle.loads(pathlib.Path(sys.argv[1]).read_bytes()))).hexdigest())
"""


@pytest.mark.parametrize("seed", ["1", "4242"])
def test_another_process_with_another_order_of_sets_gives_the_same_bytes(tmp_path, seed):
    made = full_builder()
    made.with_photos()
    paper = printing.paper_of(revision_for_page(made.send().pk))
    page = printing.html_of(paper), {photo.url: photo.data for photo in paper.photos()}
    (tmp_path / "page").write_bytes(pickle.dumps(page))
    done = subprocess.run(
        [sys.executable, "-c", IN_ANOTHER_PROCESS, str(tmp_path / "page")],
        env=os.environ | {"PYTHONHASHSEED": seed, "DJANGO_SETTINGS_MODULE": "workshop.settings"},
        cwd=settings.BASE_DIR,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == hashlib.sha256(pdf_of(*page)).hexdigest()


def test_markup_in_a_name_is_printed_as_it_was_typed():
    bike = BikeFactory.create(
        customer=CustomerFactory.create(name='<img src="file:///etc/passwd"> & Sons')
    )
    text = reading.text_of(rendered(full_builder(bike).send()))
    assert '<img src="file:///etc/passwd"> & Sons' in text
