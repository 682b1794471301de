"""What the project needs beside Python packages, and the command that installs each."""

import os
import shutil
import sys
from typing import NamedTuple

from workshop.bootstrap.say import say


class Need(NamedTuple):
    """Something from the system, under the names that package managers give it."""

    what: str
    apt: str
    dnf: str
    brew: str


PDF = Need(
    what="Pango, which draws the PDFs",
    apt="libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0",
    dnf="pango",
    brew="pango",
)
VENV = Need(
    what="Python's own venv and ensurepip",
    apt=f"python3.{sys.version_info.minor}-venv",
    dnf="python3 python3-pip",
    brew="python",
)
CHROMIUM = Need(
    what="Chromium, which the browser tests walk through the pages",
    apt="chromium libatomic1",  # the driver's own Node opens libatomic
    dnf="chromium libatomic",
    brew="--cask chromium",
)


def command_for(need: Need) -> str:
    """Return the exact command, for the package manager found here or for all three."""
    commands = {
        "apt-get": f"sudo apt-get install {need.apt}",
        "dnf": f"sudo dnf install {need.dnf}",
        "brew": f"brew install {need.brew}",
    }
    here = [command for tool, command in commands.items() if shutil.which(tool)]
    return (here or ["\n    ".join(commands.values())])[0]


def may_use_apt() -> bool:
    """Whether this is root on Debian or a child of it, and nobody has forbidden apt."""
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    return root and bool(shutil.which("apt-get")) and not os.environ.get("BIKE_BENCH_NO_APT")


def apt_install(need: Need) -> bool:
    """Install what is needed with apt-get, where that is allowed; tell whether it went well."""
    import subprocess

    if not may_use_apt():
        return False
    say(f"Installing {need.what}, with: apt-get install {need.apt}")
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    install = ["install", "-y", "-q", "--no-install-recommends", *need.apt.split()]
    results = [
        subprocess.run(
            ["apt-get", *arguments],  # noqa: S607  # root's own path
            check=False,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=sys.stderr,
        ).returncode
        for arguments in (["update", "-q"], install)
    ]
    return results[-1] == 0
