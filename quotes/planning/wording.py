"""Why a plan chose what it chose, and why there is none, in plain sentences."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.core.money import format_money
from quotes.planning.choices import Choices
from quotes.planning.models import BondKind, LockKind, PlanLock
from workshop.shop.models import Shop


@dataclass(frozen=True, slots=True)
class Reason:
    """What is known of a choice: its rivals, what it is worth, what people set by hand.

    ``waits_less`` says that the plan waits less than the next best one; ``days`` and
    ``days_instead`` are the working days that the chosen remedy and the next best wait for their
    parts, None where there are none to wait for.
    """

    alternatives: int
    package: str
    together: int
    difference: Decimal | None
    instead: str
    dearer_alone: bool
    needless: str
    locks: tuple[PlanLock, ...]
    by_hand: bool
    waits_less: bool = False
    days: int | None = None
    days_instead: int | None = None

    @property
    def waiting_decided(self) -> bool:
        """Tell whether money alone would not have chosen so."""
        return self.waits_less and self.difference is not None and self.difference <= 0


def reason_words(reason: Reason, shop: Shop) -> str:
    """Return why a remedy was chosen."""
    locked = [each for each in reason.locks if each.kind == LockKind.LOCK]
    if locked:
        return f"Set by hand: {locked[0].reason.rstrip('.')}."
    if reason.by_hand:
        return "You chose it on the quote, so it stays."
    sentences = []
    if reason.needless:
        sentences.append(f"Needs no work of its own: “{reason.needless}” deals with it.")
    if reason.package:
        sentences.append(f"Cures {reason.together} findings together.")
    if reason.difference or not reason.needless:
        sentences.append(_against_the_next(reason, shop))
    barred = [each for each in reason.locks if each.kind == LockKind.BAR]
    sentences += [
        f"Not “{each.remedy.name}”, by hand: {each.reason.rstrip('.')}." for each in barred
    ]
    return " ".join(sentences)


def _against_the_next(reason: Reason, shop: Shop) -> str:
    if not reason.alternatives:
        return "The only sound way."
    if reason.difference is None:
        return "Every other way conflicts with the rest."
    if reason.waiting_decided:
        return _waiting_decided(reason, reason.difference, shop)
    if not reason.difference:
        return f"As cheap as the next best, “{reason.instead}”."
    less = format_money(reason.difference, shop.currency, shop.locale)
    words = f"{less} cheaper than the next best, “{reason.instead}”"
    if reason.dearer_alone:
        return f"{words}; by itself it is dearer, but here it shares its work."
    return f"{words}."


def _waiting_decided(reason: Reason, difference: Decimal, shop: Shop) -> str:
    less = format_money(-difference, shop.currency, shop.locale)
    cost = f"is {less} cheaper" if difference else "costs as much"
    rival = f"Waiting decided: the next best, “{reason.instead}”, {cost}"
    if (reason.days_instead or 0) <= (reason.days or 0):
        return f"{rival}, but with it other parts would be waited for longer."
    if reason.days:
        own = f"this one {wait_words(reason.days)}"
    else:
        own = "this one needs no parts" if reason.days is None else "this one is on the shelf"
    return f"{rival} but {wait_words(reason.days_instead)}; {own}."


def wait_words(days: int | None) -> str:
    """Return how long parts are waited for; nothing where there are none."""
    if days is None:
        return ""
    if not days:
        return "on the shelf"
    return f"waits about {days} working day{'' if days == 1 else 's'}"


def conflict_words(findings: Sequence[str], choices: Choices) -> tuple[str, ...]:
    """Return which findings cannot be cured together, and what stands in the way."""
    asked = [each for each in choices.open if each.key in findings]
    names = "; ".join(each.name for each in asked)
    if len(asked) == 1:
        sentences = [f"This finding cannot be cured: {names}."]
    else:
        sentences = [f"These findings cannot be cured together: {names}."]
    wanted = {pk for pk, cures in choices.cures.items() if cures & set(findings)}
    for bond in choices.bonds:
        if {bond.remedy_id, bond.other_id} <= wanted or bond.remedy_id in wanted:
            link = "never goes with" if bond.kind == BondKind.EXCLUDES else "needs"
            sentences.append(f"“{bond.remedy}” {link} “{bond.other}”: {bond.words}.")
    for each in asked:
        for lock in choices.locks.get(each.finding, ()):
            sentences.append(
                f"{each.name}: {lock.get_kind_display()}, “{lock.remedy}”, "
                f"because {lock.reason.rstrip('.')}."
            )
    sentences.append("Take a lock off, or choose another remedy for one of them on the quote.")
    return tuple(sentences)
