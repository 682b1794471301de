"""The key of an installation: made once, whole, its owner's alone, the same for all who start."""

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from workshop import secret
from workshop.secret import kept_secret

REPO = Path(__file__).parents[2]
ASK = """
import pathlib, sys
from workshop.secret import kept_secret
print(kept_secret(pathlib.Path(sys.argv[1])))
"""


@pytest.fixture
def path(tmp_path):
    return tmp_path / "data" / "secret-key"


def test_it_is_made_once_and_kept(path):
    key = kept_secret(path)
    assert len(key) >= 50
    assert kept_secret(path) == key


def test_only_its_owner_reads_it_and_nothing_else_is_left_behind(path):
    kept_secret(path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert list(path.parent.iterdir()) == [path]


def test_the_file_is_never_seen_unfinished(path, monkeypatch):
    seen = []
    link = os.link

    def watched(source, target):
        seen.append((Path(target).exists(), len(Path(source).read_text())))
        link(source, target)

    monkeypatch.setattr(secret.os, "link", watched)
    key = kept_secret(path)
    assert seen == [(False, len(key))]


def test_whoever_comes_second_takes_the_first_ones_key(path, monkeypatch):
    link = os.link

    def beaten(source, target):
        Path(target).write_text("the first one's key", encoding="ascii")
        link(source, target)

    monkeypatch.setattr(secret.os, "link", beaten)
    assert kept_secret(path) == "the first one's key"
    assert list(path.parent.iterdir()) == [path]


def test_processes_that_start_at_once_agree(path):
    started = [
        subprocess.Popen(
            [sys.executable, "-c", ASK, str(path)], cwd=REPO, stdout=subprocess.PIPE, text=True
        )
        for _ in range(8)
    ]
    keys = {process.communicate(timeout=60)[0].strip() for process in started}
    assert keys == {path.read_text(encoding="ascii")}
