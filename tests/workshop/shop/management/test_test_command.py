"""``manage.py test`` is pytest: its arguments, its exit code."""

import os
import subprocess
import sys

import pytest
from django.core.management import call_command

from workshop.bootstrap.handover import REPO

HARMLESS = "tests/workshop/bootstrap/test_pip.py"


def run(*arguments):
    return subprocess.run(
        [sys.executable, "manage.py", "test", *arguments],
        cwd=REPO,
        env={**os.environ, "BIKE_BENCH_NO_BOOTSTRAP": "1"},
        check=False,
        capture_output=True,
        text=True,
    )


def test_arguments_reach_pytest():
    answer = run(HARMLESS, "-q", "-k", "bell", "--collect-only")
    assert answer.returncode == 0, answer.stderr
    assert "test_pip.py::test_progress" in answer.stdout


def test_pytests_own_code_is_handed_back():
    assert run(HARMLESS, "-q", "-k", "nothing_of_this_name").returncode == 5


def test_called_from_django_a_failure_is_not_swallowed():
    with pytest.raises(SystemExit) as stop:
        call_command("test", HARMLESS, "-q", "-k", "nothing_of_this_name")
    assert stop.value.code == 5
