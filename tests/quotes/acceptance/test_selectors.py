"""What is offered to be decided on, what follows from a yes, what it comes to."""

from decimal import Decimal

import pytest

from quotes.acceptance.selectors import answer_to, lines_of, offers_of, shortcut
from quotes.quoting.selectors import revision_for_page
from workshop.core.judgement import Importance

pytestmark = pytest.mark.django_db


def test_labour_parts_and_lines_by_hand_are_offered_by_finding(sent):
    offers = offers_of(revision_for_page(sent.pk))
    assert [
        (offer.finding.row.title, [view.line.key for view in offer.lines]) for offer in offers
    ] == [
        ("Hub", ["labour:hub-cure-work", "part:hub-cure-work:cones"]),
        ("Rim", ["labour:rim-cure-work"]),
        ("Bell", ["labour:bell-cure-work", "part:bell-cure-work:bell"]),
    ]


def test_a_yes_comes_to_its_lines_with_what_follows(sent, pk):
    answer = answer_to(lines_of(sent), {pk["labour:rim-cure-work"]})
    assert [line.key for line in answer.following] == ["access:wheel-out", "sundry:should"]
    assert answer.totals.whole.net == Decimal("24.00") + Decimal("2.40") + Decimal("2.40")
    assert (answer.chosen, answer.offered) == (1, 5)
    assert {line.key for line in answer.refused_must} == {
        "labour:hub-cure-work",
        "part:hub-cure-work:cones",
    }


def test_everything_comes_to_the_whole_quote(sent):
    page = revision_for_page(sent.pk)
    answer = answer_to(lines_of(sent), shortcut(page, "all"))
    assert answer.totals.whole == page.totals.whole
    assert answer.refused_must == ()


@pytest.mark.parametrize(
    ("word", "importances"),
    [
        ("all", set(Importance)),
        ("should", {Importance.MUST, Importance.SHOULD}),
        ("must", {Importance.MUST}),
        ("none", set()),
        ("strange", set()),
    ],
)
def test_shortcuts_tick_by_importance(sent, word, importances):
    ticked = shortcut(revision_for_page(sent.pk), word)
    found = set(sent.lines.filter(pk__in=ticked).values_list("importance", flat=True))
    assert found == importances


def test_nothing_comes_to_nothing(sent):
    answer = answer_to(lines_of(sent), ())
    assert answer.totals.whole.gross == 0
    assert not any(answer.decisions.values())
