"""The catalogue's rows as they stand in the files, by kind and code."""

import pytest

from workshop.catalogue.loading import default_folder
from workshop.catalogue.loading.entries import read_folder
from workshop.catalogue.loading.kinds import KINDS
from workshop.catalogue.loading.rows import rows_of


@pytest.fixture(scope="session")
def rows():
    """Every row of the catalogue: kind → code → row; nothing in the files is wrong."""
    problems = []
    found = rows_of(read_folder(default_folder(), problems), problems)
    assert not problems, "\n".join(map(str, problems))
    return {
        kind: {" ".join(map(str, row.key)): row for row in found if row.kind == kind}
        for kind in KINDS
    }
