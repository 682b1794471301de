#!/usr/bin/env python3
"""Starts every command of the project, in the project's own .venv."""

# Up to the version check this file holds nothing that an old Python could not read.
import os
import sys

if sys.version_info < (3, 11):  # noqa: UP036  # the message is for those who have an older one
    sys.exit(
        "Python 3.11 or later is needed; this is "
        + sys.version.split()[0]
        + ". Try: python3.13 "
        + " ".join(sys.argv)
    )

if __name__ == "__main__":
    from workshop.bootstrap.handover import hand_over

    hand_over(sys.argv)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "workshop.settings")

    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)
