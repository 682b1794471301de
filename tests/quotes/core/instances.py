"""Planning problems of the size of a neglected bike in a well-filled catalogue."""

from __future__ import annotations

import random

from quotes.core.planning import Candidate, Tariff, Work

FINDINGS, REMEDIES, PACKAGES = 60, 3, 15
OPERATIONS = [f"operation-{n}" for n in range(120)]
STEPS = [f"step-{n}" for n in range(12)]
PARTS = [f"part-{n}" for n in range(40)]


def large_instance(seed):
    """60 findings with 3 remedies each, 15 packages that cure 3 to 8 of them, shared access."""
    dice = random.Random(seed)
    findings = [f"finding-{n}" for n in range(FINDINGS)]
    candidates = [
        Candidate(f"{finding}-{n}", frozenset({finding}), _works(dice, dice.randint(1, 2)))
        for finding in findings
        for n in range(REMEDIES)
    ]
    candidates += [
        Candidate(
            f"package-{n}",
            frozenset(dice.sample(findings, dice.randint(3, 8))),
            tuple(Work(code) for code in dice.sample(OPERATIONS, 3)),
        )
        for n in range(PACKAGES)
    ]
    return findings, candidates, _tariff(dice)


def _works(dice, count):
    return tuple(
        Work(code, dice.randint(1, 2), {dice.choice(PARTS): 100} if dice.random() < 0.5 else {})
        for code in dice.sample(OPERATIONS, count)
    )


def _tariff(dice):
    labour = {code: dice.randint(300, 3000) for code in OPERATIONS}
    return Tariff(
        labour={(code, n): labour[code] * n for code in OPERATIONS for n in (1, 2)},
        parts={(code, 100): dice.randint(100, 4000) for code in PARTS},
        steps={code: dice.randint(100, 1500) for code in STEPS},
        access={code: frozenset(dice.sample(STEPS, dice.randint(0, 2))) for code in OPERATIONS},
        covers={code: frozenset(dice.sample(OPERATIONS, 1)) - {code} for code in OPERATIONS[:30]},
    )
