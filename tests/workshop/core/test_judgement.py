"""Judgements and importances: their order, their words, and how one leads to the other."""

from hypothesis import given
from hypothesis import strategies as st

from workshop.core.judgement import IMPORTANCE_OF, Importance, Judgement, worst


def test_judgements_go_from_good_to_bad():
    assert [each.label for each in sorted(Judgement, key=lambda each: each.rank)] == [
        "sound",
        "watch",
        "needs work",
        "unsafe",
    ]


def test_importances_go_from_pressing_to_patient():
    assert [each.label for each in sorted(Importance, key=lambda each: each.rank)] == [
        "must do",
        "should do",
        "could wait",
    ]


def test_all_but_sound_gives_an_importance_and_worse_is_more_pressing():
    assert IMPORTANCE_OF.keys() == set(Judgement) - {Judgement.SOUND}
    bad_first = sorted(IMPORTANCE_OF, key=lambda each: -each.rank)
    assert [IMPORTANCE_OF[each] for each in bad_first] == list(Importance)


def test_there_is_no_worst_of_nothing():
    assert worst([]) is None


@given(st.lists(st.sampled_from(Judgement), min_size=1))
def test_the_worst_is_one_of_them_and_none_is_worse(judgements):
    found = worst(judgements)
    assert found in judgements
    assert all(each.rank <= found.rank for each in judgements)
