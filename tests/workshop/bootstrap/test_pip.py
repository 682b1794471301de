"""Pip's lines become one line a package."""

import pytest

from workshop.bootstrap.pip import progress


@pytest.mark.parametrize(
    ("line", "shown"),
    [
        ("Collecting bell==1.2 (from -r /x/runtime.txt (line 1))\n", "=bell 1.2"),
        ("Processing /x/wheels/bell_top-1.2-py3-none-any.whl (from -r x)\n", "=bell_top 1.2"),
        ("Requirement already satisfied: lamp==3 in ./lib (from -r x)\n", "=lamp 3"),
        (
            "Ignoring tzdata: markers \"sys_platform == 'win32'\" don't match your environment\n",
            "=tzdata (not needed here)",
        ),
        ("Installing collected packages: bell, lamp\n", "unpacking ..."),
        ("  Downloading bell-1.2-py3-none-any.whl (1.0 MB)\n", None),
        ("\n", None),
    ],
)
def test_progress(line, shown):
    assert progress(line) == shown
