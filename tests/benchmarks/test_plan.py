"""The cheapest plan for 60 findings × 3 remedies × 15 packages, to proven optimum."""

from __future__ import annotations

import statistics
import time

import pytest

from quotes.core.plan import cheapest_plan
from tests.quotes.core.instances import large_instance

pytestmark = pytest.mark.benchmark


def test_time_to_a_proven_optimum():
    times = []
    cheapest_plan(*large_instance(0))
    for seed in range(10):
        case = large_instance(seed)
        start = time.perf_counter()
        plan = cheapest_plan(*case)
        times.append(time.perf_counter() - start)
        assert plan.proven
    print(  # noqa: T201 - printing is what it is for
        f"\n60 findings × 3 remedies × 15 packages, proven optimum: median"
        f" {statistics.median(times) * 1000:.0f} ms, slowest {max(times) * 1000:.0f} ms of 10"
    )
