"""Where a job card stands, what may be done with it there, and where that leads."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType


class CardState(StrEnum):
    """Where a job card stands."""

    READY = "ready"
    WORKING = "working"
    CHECKING = "checking"
    RELEASED = "released"

    @property
    def label(self) -> str:
        """Return the words shown to people."""
        return _STATE_WORDS[self]


class Action(StrEnum):
    """What a person does with a job card."""

    TICK = "tick"
    UNTICK = "untick"
    START_TIME = "start_time"
    STOP_TIME = "stop_time"
    RESERVE = "reserve"
    DRAW = "draw"
    GIVE_BACK = "give_back"
    READ = "read"
    REPORT_EXTRA = "report_extra"
    TAKE_ANSWER = "take_answer"
    ENTER = "enter"
    SIGN = "sign"
    UNSIGN = "unsign"
    RELEASE = "release"

    @property
    def label(self) -> str:
        """Return the words shown to people."""
        return _ACTION_WORDS[self]


_STATE_WORDS = {
    CardState.READY: "to be started",
    CardState.WORKING: "in work",
    CardState.CHECKING: "to be checked",
    CardState.RELEASED: "released",
}
_ACTION_WORDS = {
    Action.TICK: "tick a task",
    Action.UNTICK: "take a tick back",
    Action.START_TIME: "start the time",
    Action.STOP_TIME: "stop the time",
    Action.RESERVE: "reserve parts",
    Action.DRAW: "draw a part",
    Action.GIVE_BACK: "give a part back",
    Action.READ: "note a reading",
    Action.REPORT_EXTRA: "report extra work",
    Action.TAKE_ANSWER: "take the customer’s answer over",
    Action.ENTER: "enter a card from paper",
    Action.SIGN: "sign the release check",
    Action.UNSIGN: "take a signature back",
    Action.RELEASE: "release the bike",
}

_AT_WORK = MappingProxyType(
    {
        Action.TICK: CardState.WORKING,
        Action.UNTICK: CardState.WORKING,
        Action.START_TIME: CardState.WORKING,
        Action.STOP_TIME: CardState.WORKING,
        Action.RESERVE: CardState.WORKING,
        Action.DRAW: CardState.WORKING,
        Action.GIVE_BACK: CardState.WORKING,
        Action.READ: CardState.WORKING,
        Action.REPORT_EXTRA: CardState.WORKING,
        Action.TAKE_ANSWER: CardState.WORKING,
        Action.ENTER: CardState.WORKING,
    }
)

NEXT: Mapping[CardState, Mapping[Action, CardState]] = MappingProxyType(
    {
        CardState.READY: MappingProxyType(
            {
                Action.TICK: CardState.WORKING,
                Action.START_TIME: CardState.WORKING,
                Action.RESERVE: CardState.READY,
                Action.DRAW: CardState.WORKING,
                Action.READ: CardState.WORKING,
                Action.REPORT_EXTRA: CardState.WORKING,
                Action.TAKE_ANSWER: CardState.READY,
                Action.ENTER: CardState.READY,
            }
        ),
        CardState.WORKING: _AT_WORK,
        CardState.CHECKING: MappingProxyType(
            {
                Action.UNTICK: CardState.WORKING,
                Action.STOP_TIME: CardState.CHECKING,
                Action.GIVE_BACK: CardState.CHECKING,
                Action.READ: CardState.CHECKING,
                Action.REPORT_EXTRA: CardState.WORKING,
                Action.TAKE_ANSWER: CardState.CHECKING,
                Action.ENTER: CardState.CHECKING,
                Action.SIGN: CardState.CHECKING,
                Action.UNSIGN: CardState.CHECKING,
                Action.RELEASE: CardState.RELEASED,
            }
        ),
        CardState.RELEASED: MappingProxyType({}),
    }
)
"""What may be done at each state, and where it leads; what is not here is refused."""

WHY_NOT: Mapping[CardState, str] = MappingProxyType(
    {
        CardState.READY: "Nobody has begun yet: tick the first task or start its time.",
        CardState.WORKING: "There are tasks to be done first: tick them, or wait for the answer.",
        CardState.CHECKING: "All tasks are ticked. Take a tick back to go on with the work.",
        CardState.RELEASED: "The bike has been released. What comes now needs a new job card.",
    }
)


class CardStateError(Exception):
    """Raised where something may not be done with a card as it stands."""

    def __init__(self, state: CardState, action: Action) -> None:
        self.state, self.action = state, action
        super().__init__(
            f"A card that is “{state.label}”: you can’t {action.label} there. {WHY_NOT[state]}"
        )


def after(state: CardState, action: Action) -> CardState:
    """Return the state that an action leads to.

    Raises:
        CardStateError: the action is not one for a card that stands there.
    """
    following = NEXT[state].get(action)
    if following is None:
        raise CardStateError(state, action)
    return following


def settled(state: CardState, left: int) -> CardState:
    """Return the state once it is known how many tasks are left to do.

    With none left, it is to be checked; with some left, checking turns into work again.
    """
    if state in {CardState.READY, CardState.WORKING} and not left:
        return CardState.CHECKING
    if state is CardState.CHECKING and left:
        return CardState.WORKING
    return state
