"""What the printed quote says, read back from its bytes."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest

from quotes.print.amounts import TotalsDifferError
from quotes.quoting.models import LineKind, QuotedFinding
from tests.factories.bikes import BikeFactory
from tests.factories.people import CustomerFactory
from tests.factories.printing import RevisionBuilder, full_builder
from tests.pdfs import pages_of, words_of
from tests.quotes.print import reading
from tests.quotes.print.reading import FIRST, TOTALS, rendered
from workshop.core.judgement import Judgement

pytestmark = pytest.mark.django_db


def test_every_finding_is_printed_with_what_was_measured_and_what_cures_it():
    revision = full_builder().send()
    text = words_of(rendered(revision))
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
    text = words_of(rendered(revision))
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
    rates = re.findall(rf"VAT at [\d.]+% on {reading.AMOUNT}: {reading.AMOUNT}", words_of(data))
    assert sum(reading.money(net) for net, _ in rates) == whole[0]
    assert sum(reading.money(vat) for _, vat in rates) == whole[1]


def test_the_first_page_says_what_it_comes_to():
    first = " ".join(pages_of(rendered(full_builder().send()))[0].split())
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
    text = words_of(rendered(full_builder(bike).send()))
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
    text = words_of(rendered(full_builder().send()))
    assert text.count("Rear wheel out and in") == 1
    assert "charged once, for nos. 2, 3 and 4" in text
    assert "charged once, for nos. 5 and 7" in text
    assert "Put right together with no. 5 and charged there." in text


def test_what_sundries_are_is_said_beside_them():
    made = RevisionBuilder()
    made.line("Sundries", "1.20", kind=LineKind.SUNDRY)
    assert "Sundries, should do grease, cable ends, cleaning £1.20" in words_of(
        rendered(made.send())
    )


@pytest.mark.parametrize(
    ("prices", "words"),
    [
        (["36.00", "36.00"], "charged at £36.00 an hour, net. However long a job takes"),
        (["48.00", "36.00"], "charged at £36.00 to £48.00 an hour, net."),
    ],
)
def test_what_an_hour_costs_is_said_once_below_the_lines(prices, words):
    made = RevisionBuilder()
    hub = made.finding("Rear hub", "Play")
    for price in prices:
        made.line("Adjust", "10.00", [hub], unit_price_net=Decimal(price))
    made.line("Let it be", "9.00", [hub], unit_price_net=Decimal(99), left_out=True, reason="no")
    text = words_of(rendered(made.send()))
    assert text.count("Minutes are standard times") == text.count(words) == 1


def test_without_work_by_the_hour_nothing_is_said_of_hours():
    made = RevisionBuilder()
    made.line("A bell", "6.00", kind=LineKind.PART)
    assert "an hour" not in words_of(rendered(made.send()))


def test_a_place_that_its_fault_names_is_printed_once():
    made = RevisionBuilder()
    made.line("Adjust", "10.00", [made.finding("Headset", "Headset has play")])
    text = words_of(rendered(made.send()))
    assert "1. Headset has play" in text
    assert "Headset: Headset" not in text


def test_what_is_left_out_or_needless_is_seen_and_counts_nothing():
    made = full_builder()
    before = made.revision.gross
    text = words_of(rendered(made.send()))
    assert "Chain guard left out: not wanted left out" in text
    assert "Made needless by “Renew chain and sprockets”: nothing is charged for it." in text
    assert before == Decimal("280.04")


def test_a_finding_without_price_is_shown_beside_the_totals():
    made = full_builder()
    made.finding("Saddle", "Torn cover", remedy=None)
    first, *rest = pages_of(rendered(made.revision))
    assert "Not priced yet and not in these sums: no. 9 Saddle." in " ".join(first.split())
    assert "Not priced yet: it is not in the totals below." in " ".join(" ".join(rest).split())


def test_no_work_offered_gives_its_reason():
    made = full_builder()
    made.finding("Saddle", "Torn cover", no_work_reason="you have a saddle of your own")
    text = words_of(rendered(made.send()))
    assert "No work is offered for it: you have a saddle of your own" in text
    assert "Not priced yet" not in text


def test_what_was_not_tested_not_looked_at_and_not_included_is_listed():
    text = words_of(rendered(full_builder().send()))
    assert "Bottom bracket could not be tested: the cranks are seized on" in text
    assert "Not looked at: Lights." in text
    assert "Faults that show only once a part is off: we ask before we go on." in text


def test_cautions_come_from_the_work_and_the_maker_goes_first():
    text = words_of(rendered(full_builder().send()))
    assert "until what is marked unsafe has been put right: Main frame hinge, Rear brake." in text
    assert "Brakes: new blocks, pads and cables bed in." in text
    assert "Hinges and clamps: see that each is home" in text
    assert "Wheels: new spokes settle." not in text
    assert "they go before ours" in text


def test_there_is_room_to_say_yes_by_importance():
    text = words_of(rendered(full_builder().send()))
    answer = text[text.index("Your answer") :]
    assert "All of it £280.04" in answer
    assert "Must do £77.34" in answer
    assert "Signature" in answer
    assert "by 2 December 2026" in answer


def test_each_page_carries_its_number_and_the_quotes():
    pages = pages_of(rendered(full_builder().send()))
    assert len(pages) > 2
    for number, page in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in page
        assert "The Folding Yard · Q0001 · revision 1" in page


def test_a_draft_says_so_on_each_page_and_a_sent_one_nowhere():
    made = full_builder()
    drafts = pages_of(rendered(made.revision))
    assert all("DRAFT: nothing is offered yet" in page for page in drafts)
    assert "not an estimate" not in " ".join(drafts)
    assert not any("draft" in page.lower() for page in pages_of(rendered(made.send())))


def test_a_deal_breaker_stands_on_top_and_no_price_is_printed():
    made = full_builder()
    made.finding("Rear stays", "Bent by a fall", Judgement.UNSAFE, deal_breaker=True, remedy=None)
    made.revision.no_price = True
    made.revision.save()
    data = rendered(made.send())
    first = " ".join(pages_of(data)[0].split())
    assert "No price is offered" in first
    assert "Why no price is offered Rear stays: Bent by a fall (no. 9)" in first
    text = words_of(data)
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
    text = words_of(data)
    assert "The shop is not registered for VAT: none is charged." in text
    assert text.count("VAT") == 1
    body = reading.between(data, FIRST, TOTALS)
    assert [reading.money(each) for each in reading.ONE.findall(body)] == [
        Decimal("20.00"),
        Decimal("7.35"),
    ]
    assert "All of it £27.35" in text


def test_a_rate_other_than_the_usual_is_named_at_its_line():
    text = words_of(rendered(full_builder().send()))
    assert "Finding and work Net VAT 20% To pay" in text
    assert "Book on mending, VAT 0%" in text
    assert text.count("VAT 0%") == 1


def test_what_changed_since_the_last_revision_is_told():
    made = full_builder()
    made.send()
    made.next_revision()
    hinge = made.finding("Main frame hinge", "Movement in the closed hinge", Judgement.UNSAFE)
    made.line("Strip, ream and set the main hinge", "35.00", [hinge])
    text = words_of(rendered(made.send()))
    changes = text[text.index("What changed since revision 1") :]
    assert "Strip, ream and set the main hinge: dearer £38.40 £42.00" in changes
    assert "Brake pads: gone £11.94 –" in changes
    assert "All of it £280.04 £42.00" in changes


def test_the_first_revision_has_nothing_to_compare():
    assert "What changed" not in words_of(rendered(full_builder().send()))


def test_lines_that_do_not_add_up_to_the_revision_are_not_printed():
    made = full_builder()
    made.revision.gross += Decimal("0.01")
    made.revision.save()
    with pytest.raises(TotalsDifferError, match=r"add up to 280\.04.*says 280\.05"):
        rendered(made.revision)
