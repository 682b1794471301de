"""Which work makes which other work needless."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.core.work import covering
from tests.quotes.core.making import operation

CODES = list("abcdef")


def chain(*pairs):
    """Operations from texts such as ``a>bc``: a covers b and c."""
    return [operation(text[0], covers=text[2:]) for text in pairs]


@pytest.mark.parametrize(
    ("operations", "covered"),
    [
        (chain("a", "b"), {}),
        (chain("a>b", "b"), {"b": "a"}),
        (chain("b", "a>b"), {"b": "a"}),
        (chain("a>b"), {}),
        (chain("a>a"), {}),
        (chain("a>b", "b>c", "c"), {"b": "a", "c": "a"}),
        (chain("c", "b>c", "a>b"), {"b": "a", "c": "a"}),
        (chain("a>c", "b>c", "c"), {"c": "ab"}),
        (chain("b>c", "a>c", "c"), {"c": "ba"}),
    ],
)
def test_what_is_covered_straight_or_through_others_is_needless(operations, covered):
    assert covering(operations) == {code: tuple(by) for code, by in covered.items()}


@pytest.mark.parametrize(
    ("operations", "covered"),
    [
        (chain("a>b", "b>a"), {"b": "a"}),
        (chain("b>a", "a>b"), {"a": "b"}),
        (chain("a>b", "b>c", "c>a"), {"b": "a", "c": "a"}),
        (chain("d>a", "a>b", "b>a"), {"a": "d", "b": "d"}),
    ],
)
def test_of_work_that_covers_each_other_the_first_is_kept(operations, covered):
    assert covering(operations) == {code: tuple(by) for code, by in covered.items()}


@pytest.mark.parametrize(
    ("operations", "left_out", "covered"),
    [
        (chain("a>b", "b"), "a", {}),
        (chain("a>b", "b>a"), "a", {"a": "b"}),
        (chain("a>b", "b>c", "c"), "a", {"c": "b"}),
        (chain("a>b", "b>c", "c"), "b", {"b": "a", "c": "a"}),
    ],
)
def test_work_left_out_makes_nothing_needless(operations, left_out, covered):
    found = covering(operations, frozenset(left_out))
    assert found == {code: tuple(by) for code, by in covered.items()}


GRAPHS = st.dictionaries(
    st.sampled_from(CODES), st.sets(st.sampled_from(CODES), max_size=4), min_size=1
)


@given(GRAPHS, st.sets(st.sampled_from(CODES)))
def test_whatever_covers_whatever_the_work_that_covers_is_done(graph, left_out):
    operations = [operation(code, covers=covers) for code, covers in graph.items()]
    covered = covering(operations, frozenset(left_out))
    assert len(covered) < len(operations)
    for code, by in covered.items():
        assert by
        assert not set(by) & (covered.keys() | left_out | {code})


@given(GRAPHS)
def test_work_that_nothing_covers_is_kept_and_work_covered_from_outside_is_not(graph):
    operations = [operation(code, covers=covers) for code, covers in graph.items()]
    covered = covering(operations)
    for code in graph:
        by = {other for other, covers in graph.items() if code in covers and other != code}
        if not by:
            assert code not in covered
        elif not graph[code]:
            assert code in covered
