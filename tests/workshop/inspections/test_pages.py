"""What the page of a checkpoint shows."""

import pytest
from django.http import QueryDict

from tests.factories.bikes import BikeFactory
from tests.factories.inspections import CheckFactory, InspectionFactory
from workshop.core.judgement import Judgement
from workshop.inspections.forms import CheckForm
from workshop.inspections.pages import LONG_TEXT, Words, folded, found_in, page_of
from workshop.inspections.selectors import judge_for, walk_of

LONG = "Push. " + "Then pull, and look. " * 30


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", Words("")),
        ("Push and pull. Look.", Words("Push and pull. Look.")),
        (LONG, Words("Push.", LONG[6:].strip())),
        ("x" * (LONG_TEXT + 1), Words("x" * (LONG_TEXT + 1))),
    ],
)
def test_a_long_text_is_folded_after_its_first_sentence_and_nothing_is_lost(text, words):
    assert folded(text) == words
    assert f"{words.first} {words.rest}".strip() == text.strip()


@pytest.fixture
def found(inspection, hinge):
    """What the page finds in a form filled in with a query string."""

    def find(text):
        judge = judge_for(inspection, hinge.code, None)
        return found_in(CheckForm(QueryDict(text), judge=judge))

    return find


@pytest.mark.django_db
def test_each_fault_shows_what_the_rules_give_for_it(found):
    rows = found("version=0").rows
    assert [(row.judged.fault.code, row.judged.judgement.value) for row in rows] == [
        ("hinge-loose", "needs_work"),
        ("hinge-stiff", "watch"),
        ("hinge-crack", "unsafe"),
    ]
    assert [row.judged.deal_breaker for row in rows] == [False, False, True]
    assert not any(row.chosen or row.otherwise for row in rows)


@pytest.mark.django_db
def test_a_reading_chooses_the_fault_it_finds(found):
    view = found("version=0&reading-hinge-play=0,2&faults=hinge-crack")
    assert [row.chosen for row in view.rows] == [True, False, True]
    assert view.rows[0].judged.judgement is Judgement.WATCH
    assert view.rows[0].judged.reading
    assert [each.text for each in view.readings] == ["0.2 mm"]


@pytest.mark.django_db
def test_a_reading_that_can_not_be_read_finds_nothing(found):
    view = found("version=0&reading-hinge-play=much")
    assert view.readings == ()
    assert not any(row.chosen for row in view.rows)


@pytest.mark.django_db
def test_judging_otherwise_is_open_where_it_is_in_use(found):
    rows = found("version=0&faults=hinge-crack&judge-hinge-crack=watch").rows
    assert [row.otherwise for row in rows] == [False, False, True]


@pytest.mark.django_db
@pytest.mark.parametrize(("year", "said"), [(2016, False), (None, True)])
def test_an_unknown_age_is_said_where_it_matters(points, year, said):
    inspection = InspectionFactory(bike=BikeFactory(maker_year=year))
    walk = walk_of(inspection)
    told = {}
    for step in walk.steps:
        form = CheckForm(judge=judge_for(inspection, step.checkpoint.code, None))
        told[step.checkpoint.code] = page_of(walk, step, form).age_matters_unknown
    assert told == {"front-hub": False, "main-hinge": said, "chain": False, "rear-hub": False}


@pytest.mark.django_db
def test_it_knows_its_neighbours_and_what_was_saved_last(inspection, points):
    CheckFactory(inspection=inspection, checkpoint=points[0])
    walk = walk_of(inspection)
    form = CheckForm(judge=judge_for(inspection, "main-hinge", None))
    page = page_of(walk, walk.steps[1], form, last="front-hub")
    assert page.previous == walk.steps[0]
    assert page.next == walk.steps[2]
    assert page.last == walk.steps[0]
    assert page_of(walk, walk.steps[1], form, last="nowhere").last is None
