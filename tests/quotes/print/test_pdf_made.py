"""How the printed quote is made: tags, fonts, long words, pictures, many lines, the same bytes."""

from __future__ import annotations

import hashlib
import os
import pickle
import re
import subprocess
import sys

import pytest
from django.conf import settings

from inventory.paper.press import pdf_of, set_up_afresh
from quotes.print import pdf as printing
from quotes.quoting.models import LineKind
from quotes.quoting.selectors.page import revision_for_page
from tests.factories.bikes import BikeFactory
from tests.factories.people import CustomerFactory
from tests.factories.printing import RevisionBuilder, full_builder
from tests.pdfs import pages_of, read, words_of
from tests.quotes.print import reading
from tests.quotes.print.reading import FIRST, TOTALS, rendered

pytestmark = pytest.mark.django_db


OUR_FONTS = re.compile("(Source-Sans-3|Zilla-Slab|Noto-Sans-Arabic|Noto-Sans-Hebrew|Noto-Emoji)")


def test_it_is_tagged_with_language_title_and_author():
    data = rendered(full_builder().send())
    reader = read(data)
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
    text = words_of(data)
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
    pages = read(rendered(made.send())).pages
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
    assert ("and 1 more at the shop" in words_of(data)) is loaded


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
    pages = pages_of(data)
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
    text = words_of(rendered(full_builder(bike).send()))
    assert '<img src="file:///etc/passwd"> & Sons' in text
