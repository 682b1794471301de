"""Reading a long list takes bounded memory, whatever kind of file it is.

The longer list of 200,000 rows is read by tests/benchmarks/test_price_list.py.
"""

import pytest

from tests.benchmarks.longlists import MOST_MB, long_csv, long_ods, long_xlsx, measured

ROWS = 20_000


@pytest.mark.parametrize("write", [long_csv, long_xlsx, long_ods])
def test_twenty_thousand_rows_are_read_within_the_bound(write, tmp_path):
    path = write(tmp_path, ROWS)
    result = measured(path)
    assert result.rows == ROWS + 1
    assert result.more_mb < MOST_MB / 5
