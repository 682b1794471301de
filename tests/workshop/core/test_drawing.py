"""Marks on the drawing: each can be tapped, none is lost, same marks stand in the same places."""

from itertools import combinations
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.core.drawing import BOTTOM, COVERS, EDGE, GAP, LEFT, RIGHT, TOP, Mark, spread
from workshop.core.judgement import Judgement
from workshop.core.shapes import SHAPES, WORDS, shape

places = st.tuples(st.integers(LEFT, RIGHT), st.integers(TOP, BOTTOM))


def mark(x, y, judgement="sound", label="front hub"):
    """A mark at a place."""
    return Mark(x, y, judgement, label)


def nearest(marks):
    """Return the least distance between any two marks, in drawing units."""
    return min(hypot(a.x - b.x, a.y - b.y) for a, b in combinations(marks, 2))


def test_marks_far_apart_stay_where_they_are():
    """Nothing moves without need."""
    given_marks = (mark(150, 330), mark(490, 330), mark(150, 330 - GAP))
    assert spread(given_marks) == given_marks


def test_marks_on_one_place_move_apart():
    """Hub, cassette and spokes share a place on the drawing; each gets one of its own."""
    marks = spread([mark(150, 300)] * 3)
    assert nearest(marks) >= GAP
    assert all((each.at_x, each.at_y) == (150, 300) for each in marks if each.moved)
    assert any(each.moved for each in marks)


def test_two_that_crowd_go_half_way_each():
    """Neither stays while the other goes all the way, and both stay on their own side."""
    left, right = spread([mark(300, 200), mark(320, 200)])
    assert 290 <= left.x < 300
    assert 320 < right.x <= 330
    assert left.y == right.y == 200


def test_a_mark_that_still_covers_its_place_needs_no_line():
    """A small push keeps the place under the mark, so nothing has to point at it."""
    left, right = spread([mark(300, 200), mark(300 + GAP - COVERS, 200)])
    assert left.x != 300
    assert not left.moved
    assert not right.moved


def test_marks_do_not_wander_far():
    """Ten marks on one hub stay within two and a half gaps of it."""
    marks = spread([mark(150, 300)] * 10)
    assert max(hypot(each.x - 150, each.y - 300) for each in marks) <= 2.5 * GAP


def test_fifty_marks_on_one_place_still_fit():
    """More marks than the longest walk has, all in one spot."""
    marks = spread([mark(150, 300)] * 50)
    assert len(marks) == 50
    assert nearest(marks) >= GAP


def test_a_full_drawing_is_said_to_be_full():
    """Where the marks cannot be kept apart the error says which one found no room."""
    with pytest.raises(ValueError, match="No room left on the drawing for mark 2 at a gap of 900"):
        spread([mark(150, 300)] * 4, gap=900)


@given(st.lists(places, min_size=2, max_size=48))
def test_all_marks_can_be_tapped(points):
    """Whatever the places: none lost, none too near another, none off the drawing, in order."""
    marks = spread([mark(x, y, label=str(i)) for i, (x, y) in enumerate(points)])
    assert [each.label for each in marks] == [str(i) for i in range(len(points))]
    assert nearest(marks) >= GAP
    assert all(LEFT + EDGE <= each.x <= RIGHT - EDGE for each in marks)
    assert all(TOP + EDGE <= each.y <= BOTTOM - EDGE for each in marks)


@given(st.lists(places, max_size=20))
def test_same_marks_same_places(points):
    """Places don't change from one look to the next."""
    marks = [mark(x, y) for x, y in points]
    assert spread(marks) == spread(marks)


@given(st.lists(places, min_size=1, max_size=12), st.integers(0, 1))
def test_what_happens_elsewhere_moves_nothing_here(points, side):
    """Crowding at one end of the drawing leaves a lone mark at the other end in place."""
    lone = mark(RIGHT - 30, 60)
    near = [mark(min(x, 250), max(y, 200)) for x, y in points]
    marks = spread([lone, *near] if side else [*near, lone])
    assert lone in marks


def test_a_judgement_without_shape_is_refused():
    """A word that has no shape never reaches the drawing; the error lists those that have."""
    with pytest.raises(ValueError, match=r"front hub: no judgement “red”.*unseen, sound, watch"):
        mark(1, 1, judgement="red")


@pytest.mark.parametrize("judgement", Judgement)
def test_every_judgement_has_shape_and_its_own_word(judgement):
    """The shapes know every judgement, by the word people read."""
    assert WORDS[judgement] == judgement.label
    assert SHAPES[judgement] in shape(judgement)


def test_a_shape_is_hidden_from_readers():
    """The word beside it is read, not the picture; its size is in px."""
    markup = shape("watch", 40)
    assert 'aria-hidden="true"' in markup
    assert 'width="40" height="40"' in markup
    with pytest.raises(KeyError):
        shape("amber")
