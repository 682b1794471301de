"""The project's own .venv: whether it is complete, and how it is made so."""

import importlib
import importlib.util
import os
import shutil
import sys
from collections.abc import Iterable
from pathlib import Path

from workshop.bootstrap import needs
from workshop.bootstrap.lockfile import Section
from workshop.bootstrap.say import say

PROBE = "import pip, sys; print('%d.%d' % sys.version_info[:2])"


def this_version() -> str:
    """Return the version of the running Python as ``3.12``."""
    return f"{sys.version_info.major}.{sys.version_info.minor}"


class Environment:
    """A virtual environment with a stamp for each section of the lock installed in it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    @property
    def python(self) -> Path:
        """Path of the environment's own interpreter."""
        if sys.platform == "win32":
            return self.folder / "Scripts" / "python.exe"
        return self.folder / "bin" / "python"

    def is_running(self) -> bool:
        """Whether this very process runs in the environment."""
        return os.path.realpath(sys.prefix) == os.path.realpath(self.folder)

    def stamp(self, section: Section) -> Path:
        """Path of the file that says what has been installed of a section."""
        return self.folder / f"installed-{section.name}"

    def has(self, section: Section) -> bool:
        """Whether the section is installed, as far as can be told without starting Python.

        From within the environment the interpreter's version is compared as well: an upgrade of
        the system's Python leaves the packages behind.
        """
        try:
            digest, version = self.stamp(section).read_text(encoding="ascii").split()
        except (OSError, ValueError):
            return False
        same = not self.is_running() or version == this_version()
        return digest == section.digest and same and os.access(self.python, os.X_OK)

    def version(self) -> str | None:
        """Return the interpreter's version as ``3.12``; None if it or its pip is broken."""
        import subprocess

        try:
            answer = subprocess.run(
                [self.python, "-I", "-c", PROBE], check=True, capture_output=True, text=True
            )
        except (OSError, subprocess.CalledProcessError):
            return None
        return answer.stdout.strip()

    def ensure(self, sections: Iterable[Section]) -> None:
        """Make the environment if need be, and install each section that it lacks.

        Raises:
            SystemExit: something can't be had; the message says what to do.
        """
        version = self.version()
        stale = self.is_running() and version != this_version()
        if version is None or stale:
            self.create()
            version = self.version()
        for section in sections:
            if not self.has(section):
                self.install(section)
                text = f"{section.digest} {version}\n"
                self.stamp(section).write_text(text, encoding="ascii")

    def create(self) -> None:
        """Make the environment anew, in place of a broken one.

        Raises:
            SystemExit: venv or ensurepip is missing, or the folder can't be written.
        """
        import subprocess

        ensure_venv()
        self.clear()
        say(f"Making {self.folder.name} with Python {sys.version.split()[0]} ...")
        base = getattr(sys, "_base_executable", None) or sys.executable
        try:
            subprocess.run([base, "-m", "venv", self.folder], check=True, stdout=sys.stderr)
        except (OSError, subprocess.CalledProcessError) as error:
            raise SystemExit(f"Could not make {self.folder}: {error}") from error

    def clear(self) -> None:
        """Remove a broken environment.

        Raises:
            SystemExit: there is something at its place that isn't an environment.
        """
        if not os.path.lexists(self.folder):
            return
        ours = (self.folder / "pyvenv.cfg").exists() or (self.folder / "bin").exists()
        if self.folder.is_symlink() or not (ours or not any(self.folder.iterdir())):
            raise SystemExit(f"{self.folder} is no virtual environment. Move it away, start again.")
        say(f"{self.folder.name} is incomplete and is made anew.")
        shutil.rmtree(self.folder)

    def install(self, section: Section) -> None:
        """Install a section's pins, each checked against its hashes, and show the progress.

        Raises:
            SystemExit: pip failed; its last lines are shown.
        """
        from workshop.bootstrap.pip import install

        install(self.python, section)


def ensure_venv() -> None:
    """See that this Python can make virtual environments.

    Raises:
        SystemExit: it can't, and the package for it may not be installed from here.
    """
    if can_make_venv():
        return
    if needs.apt_install(needs.VENV):
        importlib.invalidate_caches()
    if not can_make_venv():
        raise SystemExit(
            f"{sys.executable} lacks {needs.VENV.what}. Install it, then start again:\n"
            f"    {needs.command_for(needs.VENV)}"
        )


def can_make_venv() -> bool:
    """Whether the modules venv and ensurepip are there; Debian packs them on their own."""
    return all(importlib.util.find_spec(name) for name in ("venv", "ensurepip"))
