"""From a revision's page to paper."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from quotes.print.selectors import paper_of
from quotes.quoting.selectors.page import revision_for_page
from tests.factories.printing import RevisionBuilder, full_builder
from workshop.core.judgement import Importance, Judgement

pytestmark = pytest.mark.django_db


def paper(revision):
    """Return a revision as paper, as it stands in the database."""
    return paper_of(revision_for_page(revision.pk))


def queries(revision) -> int:
    """Count the queries for the paper of a revision."""
    with CaptureQueriesContext(connection) as caught:
        paper(revision)
    return len(caught)


def test_the_number_of_queries_does_not_grow_with_the_quote():
    made = full_builder()
    made.with_photos()
    few = queries(made.revision)
    for number in range(12):
        row = made.finding(f"Place {number}", "Worn")
        made.line(f"Work {number}", "7.10", [row])
        made.not_tested(f"Hidden place {number}", "stuck")
    assert queries(made.revision) == few


def test_findings_are_counted_by_judgement_worst_first_and_sound_places_beside():
    counts = paper(full_builder().revision).counts
    assert [(each.judgement, each.number) for each in counts] == [
        (Judgement.UNSAFE, 2),
        (Judgement.NEEDS_WORK, 3),
        (Judgement.WATCH, 3),
        (Judgement.SOUND, 6),
    ]


def test_only_importances_that_have_lines_are_summed():
    made = RevisionBuilder()
    hub = made.finding("Rear hub", "Play")
    made.line("Adjust", "10.00", [hub])
    made.line("Polish", "3.00", [hub], left_out=True, reason="no", importance="could")
    sums = paper(made.revision).sums
    assert [(importance, part.gross) for importance, part in sums] == [
        (Importance.SHOULD, Decimal("12.00"))
    ]


def test_the_drawing_has_a_mark_a_place_with_the_numbers_found_there():
    made = full_builder()
    hinge = made.revision.findings.first()
    made.finding("Main frame hinge", "Rust", Judgement.WATCH, check=hinge.finding.check_made)
    drawing = paper(made.revision).drawing
    marks = {mark.label: mark for mark in drawing.marks}
    assert marks["Main frame hinge"].number == "1, 9"
    assert marks["Main frame hinge"].judgement == "unsafe"
    assert marks["Bottom bracket"].judgement == "not_tested"
    assert "Front hub" not in marks
    assert "1 Main frame hinge: unsafe" in drawing.desc


def test_a_line_of_another_importance_than_its_finding_says_so(client):
    made = RevisionBuilder()
    hub = made.finding("Rear hub", "Play")
    made.line("Adjust", "10.00", [hub], importance="must")
    (finding,) = paper(made.revision).findings
    assert finding.importance is Importance.SHOULD
    assert finding.lines[0].importance is Importance.MUST


@pytest.mark.parametrize(
    ("fields", "measure"),
    [
        ({"kind": "labour", "quantity": Decimal("25.00"), "unit": "min"}, "25 min"),
        ({"kind": "labour", "quantity": Decimal("7.50"), "unit": "min"}, "7.5 min"),
        ({"kind": "part", "quantity": Decimal("1.00"), "unit": "pc"}, ""),
        ({"kind": "part", "quantity": Decimal("2.00"), "unit": "pc"}, "2 × £3.10"),
        ({"kind": "part", "quantity": Decimal("10.00"), "unit": "pc"}, "10 × £3.10"),
        ({"kind": "part", "quantity": Decimal("1.50"), "unit": "m"}, "1.5 m at £3.10"),
        ({"kind": "sundry", "quantity": Decimal("1.00"), "unit": "lot"}, ""),
    ],
)
def test_a_line_says_how_much_of_it(fields, measure):
    made = RevisionBuilder()
    hub = made.finding("Rear hub", "Play")
    made.line("Something", "6.20", [hub], unit_price_net=Decimal("3.10"), **fields)
    assert [line.measure for line in paper(made.revision).lines] == [measure]
