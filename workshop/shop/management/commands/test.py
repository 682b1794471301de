"""Runs the tests with pytest."""

import argparse
import os
import subprocess
import sys
from typing import Any

from django.core.management.base import BaseCommand


class Command(BaseCommand):
    """``manage.py test``: every argument after it is pytest's."""

    help = "Runs the tests with pytest; arguments are handed on to it."
    requires_system_checks = ()

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Take whatever pytest takes, for callers of call_command."""
        parser.add_argument("arguments", nargs=argparse.REMAINDER, help="arguments of pytest")

    def run_from_argv(self, argv: list[str]) -> None:
        """Start pytest in place of this process, so that its options never meet Django's."""
        line = pytest_line(argv[2:])
        if sys.platform == "win32":
            raise SystemExit(subprocess.run(line, check=False).returncode)  # noqa: S603
        os.execv(line[0], line)  # noqa: S606

    def handle(self, *args: Any, **options: Any) -> None:
        """Run pytest beside this process.

        Raises:
            SystemExit: a test failed; carries pytest's own code.
        """
        code = subprocess.run(pytest_line(options["arguments"]), check=False).returncode  # noqa: S603
        if code:
            raise SystemExit(code)


def pytest_line(arguments: list[str]) -> list[str]:
    """Return the command line that runs pytest under this Python."""
    return [sys.executable, "-m", "pytest", *arguments]
