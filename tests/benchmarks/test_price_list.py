"""A price list of 200,000 rows: memory and time of reading each kind of file, and the whole way."""

from __future__ import annotations

import time
import tracemalloc

import pytest
from django.core.files.base import ContentFile

from inventory.pricelists.models import State
from inventory.pricelists.verbs.apply import apply
from inventory.pricelists.verbs.read_on import read_on
from tests.benchmarks.longlists import MOST_MB, long_csv, long_ods, long_xlsx, measured
from tests.factories.people import UserFactory
from tests.factories.suppliers import SupplierFactory, sent, settled

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db]
ROWS = 200_000


@pytest.mark.parametrize("write", [long_csv, long_xlsx, long_ods])
def test_reading_takes_bounded_memory(write, tmp_path):
    result = measured(write(tmp_path, ROWS))
    print(f"\n{write.__name__}: {result.more_mb:.0f} MB more, {result.seconds:.1f} s,", end=" ")  # noqa: T201
    print(f"{result.unpacking:.1f} s of them unpacking")  # noqa: T201
    assert result.rows == ROWS + 1
    assert result.more_mb < MOST_MB


def test_the_whole_way(tmp_path):
    data = ContentFile(long_csv(tmp_path, ROWS).read_bytes()).read()
    start = time.perf_counter()
    incoming = settled(sent(SupplierFactory.create(), data))
    print(f"\nsent in after {time.perf_counter() - start:.1f} s")  # noqa: T201
    tracemalloc.start()
    steps, longest = 0, 0.0
    while incoming.state == State.READING:
        began = time.perf_counter()
        incoming = read_on(incoming)
        steps, longest = steps + 1, max(longest, time.perf_counter() - began)
    peak = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    print(f"read after {time.perf_counter() - start:.1f} s in {steps} steps, slowed by tracing")  # noqa: T201
    print(f"longest step {longest:.1f} s, peak {peak:.0f} MB")  # noqa: T201
    began = time.perf_counter()
    made = apply(incoming, by=UserFactory.create(), currency="GBP")
    print(f"applied in {time.perf_counter() - began:.1f} s")  # noqa: T201
    assert made.added == ROWS
    assert peak < MOST_MB
