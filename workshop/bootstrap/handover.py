"""Hands a command over to the project's own .venv, which it completes first."""

import contextlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path

from workshop.bootstrap import native
from workshop.bootstrap.environment import Environment
from workshop.bootstrap.lockfile import RUNTIME, TEST, read_sections

REPO = Path(__file__).resolve().parent.parent.parent
OPT_OUT = "BIKE_BENCH_NO_BOOTSTRAP"
HANDED_OVER = "BIKE_BENCH_HANDED_OVER"
DRAWING_COMMANDS = frozenset({"demo", "runserver", "test"})


def hand_over(arguments: list[str], repo: Path = REPO) -> None:
    """Return if this process runs in a complete .venv; else complete it and start again there.

    Args:
        arguments: the command line, as in ``sys.argv``.
        repo: the folder that holds requirements.lock and gets the .venv.

    Raises:
        SystemExit: something is missing that can't be installed from here.
    """
    if os.environ.get(OPT_OUT):
        return
    command = arguments[1] if len(arguments) > 1 else "help"
    environment = Environment(repo / ".venv")
    try:
        prepare(environment, repo / "requirements.lock", command)
    except KeyboardInterrupt:
        raise SystemExit("\nStopped. Run the same command again: it goes on from here.") from None
    second = os.environ.pop(HANDED_OVER, None)
    if environment.is_running():
        return
    if second:
        raise SystemExit(f"{environment.python} does not run in {environment.folder}: remove it.")
    restart(environment.python)


def prepare(environment: Environment, lock: Path, command: str) -> None:
    """See that everything is there that ``command`` needs."""
    sections = read_sections(lock)
    wanted = [sections[name] for name in (RUNTIME, TEST)[: 2 if command == "test" else 1]]
    if not all(environment.has(section) for section in wanted):
        with one_at_a_time(lock):
            environment.ensure(wanted)
    if command in DRAWING_COMMANDS:
        native.ensure_libraries()
    if command == "test":
        native.ensure_chromium()


@contextlib.contextmanager
def one_at_a_time(lock: Path) -> Iterator[None]:
    """Let two starts at once wait for each other, where the system has file locks."""
    try:
        import fcntl
    except ImportError:  # Windows
        yield
        return
    with lock.open("rb") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield


def restart(python: Path) -> None:
    """Start the same command line again under ``python``; does not return."""
    gone = ("PYTHONHOME", "__PYVENV_LAUNCHER__")
    environment = {key: value for key, value in os.environ.items() if key not in gone}
    environment |= {HANDED_OVER: "1", **native.library_environment()}
    line = [str(python), *sys.orig_argv[1:]]
    if sys.platform == "win32":  # there, exec would leave the terminal to the caller
        import subprocess

        raise SystemExit(subprocess.run(line, env=environment, check=False).returncode)
    os.execve(python, line, environment)  # noqa: S606  # the project's own interpreter
