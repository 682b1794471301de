"""What every test of the printed quote holds to."""

import pytest


@pytest.fixture(autouse=True)
def _no_complaint(caplog):
    """The library complains of nothing: no missing letter, picture, style rule or words."""
    yield
    complaints = [each for each in caplog.get_records("call") if each.name == "weasyprint"]
    assert [each.getMessage() for each in complaints] == []
