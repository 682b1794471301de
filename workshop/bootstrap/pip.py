"""Runs pip on a section of the lock and shows, package by package, how far it is."""

import os
import re
import subprocess
import tempfile
from collections import deque
from pathlib import Path

from workshop.bootstrap.lockfile import Section
from workshop.bootstrap.say import say

# Settings of the caller's pip that would send packages somewhere else than into .venv.
ELSEWHERE = ("PIP_USER", "PIP_TARGET", "PIP_PREFIX", "PIP_ROOT", "PIP_DRY_RUN")
OPTIONS = (
    "--require-hashes",
    "--no-deps",  # the lock is complete
    "--no-input",
    "--disable-pip-version-check",
    "--progress-bar=off",
    "--retries=3",
)
KEPT_LINES = 15
PACKAGE_LINES = (
    r"(?:Collecting|Requirement already satisfied:) ([\w.-]+)==([^\s;]+)",
    r"Processing .*?([\w.]+)-([^-/]+)-[^/]+\.whl",  # from a folder of wheels
)


def install(python: Path, section: Section) -> None:
    """Install the section's pins into the environment of ``python``.

    Raises:
        SystemExit: pip failed; its last lines are shown.
    """
    total = len(section.pins)
    say(f"Installing {total} packages ({section.name}), once:")
    environment = {key: value for key, value in os.environ.items() if key not in ELSEWHERE}
    with tempfile.TemporaryDirectory() as folder:
        pins = Path(folder) / f"{section.name}.txt"
        pins.write_text(section.text, encoding="utf-8")
        process = subprocess.Popen(
            [python, "-I", "-m", "pip", "install", *OPTIONS, "-r", pins],
            env=environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            errors="replace",
        )
        last = follow(process, total)
    if process.returncode:
        say("\n".join(last))
        raise SystemExit(
            "The packages could not be installed; pip's last lines stand above. "
            "Check the network, then run the same command again: it goes on from here."
        )


def follow(process: "subprocess.Popen[str]", total: int) -> deque[str]:
    """Show pip's progress until it ends, and return its last lines."""
    last: deque[str] = deque(maxlen=KEPT_LINES)
    done = 0
    for line in process.stdout or ():
        last.append(line.rstrip())
        text = progress(line)
        if text and text.startswith("="):
            done += 1
            text = f"{done:3}/{total} {text[1:]}"
        if text:
            say(f"  {text}")
    process.wait()
    return last


def progress(line: str) -> str | None:
    """Turn a line of pip's into one of ours; ``=`` before it counts a package."""
    package = next(filter(None, (re.match(pattern, line) for pattern in PACKAGE_LINES)), None)
    if package:
        return f"={package[1]} {package[2]}"
    if line.startswith("Ignoring "):  # a pin for another platform
        return f"={line.split()[1].rstrip(':')} (not needed here)"
    if line.startswith("Installing collected packages"):
        return "unpacking ..."
    return None
