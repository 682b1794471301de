"""What a decision rests on, in words."""

from __future__ import annotations

from collections.abc import Sequence

from inventory.core.money import format_money
from quotes.core.resale import Method
from quotes.deciding.basis import Ground
from quotes.deciding.figures import Way
from quotes.resale.wording import like_words
from workshop.shop.models import Shop


def opening_words(shop: Shop) -> str:
    """Return the rule for the opening offer."""
    step = format_money(shop.opening_step, shop.currency, shop.locale)
    return (
        f"{shop.opening_share * 100:.0f} % of that, or of a lower price asked, rounded down to "
        f"whole {step}"
    )


def resale_words(ground: Ground) -> str:
    """Return what the resale price rests on."""
    basis = ground.resale
    if basis.resale.method is Method.NO_BASIS:
        return "No comparables: the resale price is your own."
    count = f"{len(basis.rows)} price{'' if len(basis.rows) == 1 else 's'}"
    how = "A line through" if basis.resale.method is Method.REGRESSION else "The middle one of"
    return f"{how} {count} of {like_words(basis)}."


def work_words(ground: Ground) -> str:
    """Return what the work rests on."""
    if ground.work is None:
        return "Nobody has priced the work: what you enter for it is a guess."
    if ground.basis.revision is not None:
        return f"The work as {ground.basis.revision} has it, at the shop’s own cost."
    return "No quote yet: the work as it would be proposed for what was found, at your own cost."


def cautions_of(ground: Ground) -> tuple[str, ...]:
    """Return what to mind before the figures are trusted."""
    cautions = []
    if not ground.basis.inspected:
        cautions.append("The bike has not been inspected: what is wrong with it is not known.")
    if ground.work is not None and ground.work.open:
        several = ground.work.open
        noun = "finding has" if len(several) == 1 else "findings have"
        cautions.append(f"{len(several)} {noun} no price yet: {'; '.join(several)}.")
    if ground.resale.beyond:
        cautions.append(
            f"The bike is {ground.resale.beyond} than every comparable: its resale price is less "
            "sure than the figures say."
        )
    return tuple(cautions)


def best_words(ways: Sequence[Way], shop: Shop) -> str:
    """Return which way earns most, if all goes as likely."""
    best = max(ways, key=lambda way: way.profit)
    if best.profit <= 0:
        return "None of it earns anything, if all goes as likely."
    money = format_money(best.profit, shop.currency, shop.locale)
    return f"“{best.name}” earns most if all goes as likely: {money}."
