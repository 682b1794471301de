"""Timing variants of the same work against each other."""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable, Mapping

AGAIN = "base again"


def compare(
    title: str, base: Callable[[], object], others: Mapping[str, Callable[[], object]], rounds: int
) -> dict[str, float]:
    """Run base and others in a new order each round, the base twice, and print what they take.

    Returns the median of each in seconds. The base's second run tells how much of a difference is
    noise. Every variant is run once before, so that all are warm.
    """
    variants = {"base": base, AGAIN: base, **others}
    for work in variants.values():
        work()
    times: dict[str, list[float]] = {name: [] for name in variants}
    order = list(variants)
    for _ in range(rounds):
        random.shuffle(order)
        for name in order:
            start = time.perf_counter()
            variants[name]()
            times[name].append(time.perf_counter() - start)
    medians = {name: statistics.median(each) for name, each in times.items()}
    _print(title, medians, rounds)
    return medians


def _print(title: str, medians: Mapping[str, float], rounds: int) -> None:
    """Print the medians, each beside the base."""
    print(f"\n{title} (median of {rounds})")  # noqa: T201 - printing is what it is for
    for name, seconds in medians.items():
        ratio = seconds / medians["base"]
        print(f"  {name:<28} {seconds * 1000:8.1f} ms  {ratio:5.2f} × base")  # noqa: T201 - see above
