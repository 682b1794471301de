"""A bare Python comes to a complete .venv by itself, and the second time at once.

Runs the real thing, offline: the packages are wheels written here.
"""

import hashlib
import os
import shutil
import subprocess
import sys
import time
import zipfile

import pytest

from workshop.bootstrap.handover import REPO

START = """\
import sys
from pathlib import Path
from workshop.bootstrap.handover import hand_over
hand_over(sys.argv, Path(__file__).parent)
import bell
print(bell.SOUND, sys.prefix, *sys.argv[1:])
"""


class Clone:
    """A repo with the bootstrap, a lock of wheels made here, and no .venv."""

    def __init__(self, folder):
        self.folder = folder
        self.wheels = folder / "wheels"
        self.wheels.mkdir()
        package = folder / "workshop"
        package.mkdir()
        (package / "__init__.py").touch()
        shutil.copytree(REPO / "workshop" / "bootstrap", package / "bootstrap")
        (folder / "start.py").write_text(START)
        self.lock(runtime=[self.wheel("bell", "1.0", "ding")], test=[])
        self.first = ("", "", 1)  # the answer of the first start

    def wheel(self, name, version, sound):
        """Write a wheel and return its line for the lock."""
        path = self.wheels / f"{name}-{version}-py3-none-any.whl"
        info = f"{name}-{version}.dist-info"
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr(f"{name}.py", f"SOUND = {sound!r}\n")
            archive.writestr(
                f"{info}/METADATA", f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n"
            )
            archive.writestr(
                f"{info}/WHEEL",
                "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
            )
            archive.writestr(f"{info}/RECORD", f"{name}.py,,\n")
        digest = hashlib.sha256(path.read_bytes()).hexdigest()
        return f"{name}=={version} \\\n    --hash=sha256:{digest}\n"

    def lock(self, *, runtime, test):
        text = "# [runtime]\n" + "".join(runtime) + "\n# [test]\n" + "".join(test)
        (self.folder / "requirements.lock").write_text(text)

    def begin(self, *arguments):
        """Start, and return the running process."""
        environment = {
            key: value
            for key, value in os.environ.items()
            if not key.startswith(("BIKE_BENCH", "PIP_", "PYTHON"))
        }
        environment |= {"PIP_NO_INDEX": "1", "PIP_FIND_LINKS": str(self.wheels)}
        return subprocess.Popen(
            [sys.executable, str(self.folder / "start.py"), *arguments],
            env=environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    def start(self, *arguments):
        """Start, wait, and return output, error stream and code."""
        process = self.begin(*arguments)
        out, err = process.communicate(timeout=120)
        return out.strip(), err, process.returncode


@pytest.fixture(scope="module")
def clone(tmp_path_factory):
    """A clone in which a first start has been made."""
    made = Clone(tmp_path_factory.mktemp("clone"))
    made.first = made.start("check", "--deploy")
    return made


def test_the_first_start_makes_the_environment_and_hands_over(clone):
    out, err, code = clone.first
    assert code == 0, err
    assert out == f"ding {clone.folder / '.venv'} check --deploy"
    assert "Making .venv" in err
    assert "1/1 bell 1.0" in err


def test_the_second_start_says_and_does_nothing_and_is_quick(clone):
    clone.start("check")
    begun = time.monotonic()
    out, err, code = clone.start("check")
    assert time.monotonic() - begun < 2
    assert (out.split()[0], err, code) == ("ding", "", 0)


def test_another_pin_is_installed_over_the_old_one(clone):
    clone.lock(runtime=[clone.wheel("bell", "1.1", "dong")], test=[])
    out, err, code = clone.start("check")
    assert (out.split()[0], code) == ("dong", 0), err
    assert "Making" not in err


def test_a_wrong_hash_stops_and_leaves_no_stamp(clone):
    right = clone.wheel("bell", "1.2", "dang")
    clone.lock(runtime=[right[:-5] + "0000\n"], test=[])
    out, err, code = clone.start("check")
    assert (out, code) == ("", 1)
    assert "could not be installed" in err
    clone.lock(runtime=[right], test=[])
    out, err, code = clone.start("check")
    assert (out.split()[0], code) == ("dang", 0), err


def test_a_broken_off_environment_is_made_anew_by_whoever_comes_first(clone):
    shutil.rmtree(clone.folder / ".venv")
    (clone.folder / ".venv" / "bin").mkdir(parents=True)
    (clone.folder / ".venv" / "bin" / "python").symlink_to("/no/such/python")
    both = [clone.begin("check") for _ in range(2)]
    answers = [process.communicate(timeout=120) for process in both]
    assert [process.returncode for process in both] == [0, 0], answers
    assert sum("Making .venv" in err for _, err in answers) == 1


def test_the_way_round_it_is_kept_open(clone, monkeypatch):
    process = subprocess.run(
        [sys.executable, "-c", "from workshop.bootstrap.handover import hand_over as h; h(['x'])"],
        cwd=clone.folder,
        env={**os.environ, "BIKE_BENCH_NO_BOOTSTRAP": "1"},
        check=False,
        capture_output=True,
        text=True,
    )
    assert (process.returncode, process.stderr) == (0, "")
