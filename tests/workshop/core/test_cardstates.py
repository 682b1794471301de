"""The states of a job card: every state with every action, allowed or clearly refused."""

from itertools import product

import pytest

from workshop.core.cardstates import NEXT, Action, CardState, CardStateError, after, settled

# written from what happens at the bench, not from the table that is tested:
# r to be started, w in work, c to be checked, x released; "." is refused
LETTERS = dict(zip("rwcx", CardState, strict=True))
EXPECTED = {
    #              from r w c x
    Action.TICK: "ww..",
    Action.UNTICK: ".ww.",
    Action.START_TIME: "ww..",
    Action.STOP_TIME: ".wc.",
    Action.RESERVE: "rw..",
    Action.DRAW: "ww..",
    Action.GIVE_BACK: ".wc.",
    Action.READ: "wwc.",
    Action.REPORT_EXTRA: "www.",
    Action.TAKE_ANSWER: "rwc.",
    Action.ENTER: "rwc.",
    Action.SIGN: "..c.",
    Action.UNSIGN: "..c.",
    Action.RELEASE: "..x.",
}


def test_every_action_and_state_stand_in_both_tables():
    assert set(EXPECTED) == set(Action)
    assert set(NEXT) == set(CardState)


@pytest.mark.parametrize(("state", "action"), list(product(CardState, Action)))
def test_every_state_with_every_action(state, action):
    wanted = EXPECTED[action][list(CardState).index(state)]
    if wanted != ".":
        assert after(state, action) is LETTERS[wanted]
        return
    with pytest.raises(CardStateError) as refusal:
        after(state, action)
    words = str(refusal.value)
    assert state.label in words
    assert action.label in words
    assert words.endswith(".")


def test_every_state_can_be_reached_and_only_released_is_an_end():
    reached, waiting = {CardState.READY}, [CardState.READY]
    while waiting:
        state = waiting.pop()
        following = {settled(each, left) for each in NEXT[state].values() for left in (0, 1)}
        waiting += following - reached
        reached |= following
    assert reached == set(CardState)
    assert [state for state in CardState if not NEXT[state]] == [CardState.RELEASED]


@pytest.mark.parametrize(
    ("state", "left", "then"),
    [
        ("ready", 0, "checking"),
        ("ready", 2, "ready"),
        ("working", 0, "checking"),
        ("working", 1, "working"),
        ("checking", 0, "checking"),
        ("checking", 3, "working"),
        ("released", 0, "released"),
        ("released", 1, "released"),
    ],
)
def test_what_is_left_settles_the_state(state, left, then):
    assert settled(CardState(state), left) is CardState(then)
