"""A stamped environment counts as complete only while everything still fits."""

import shutil
import subprocess
import sys

import pytest

from workshop.bootstrap import environment as module
from workshop.bootstrap import needs
from workshop.bootstrap.environment import Environment, this_version
from workshop.bootstrap.lockfile import Section

SECTION = Section("runtime", "bell==1.2\n")


@pytest.fixture
def environment(tmp_path):
    """An environment whose interpreter is this one, stamped for SECTION."""
    made = Environment(tmp_path / ".venv")
    made.python.parent.mkdir(parents=True)
    made.python.symlink_to(sys.executable)
    made.stamp(SECTION).write_text(f"{SECTION.digest} {this_version()}\n")
    return made


def test_a_stamped_section_is_there(environment):
    assert environment.has(SECTION)


def test_another_pin_is_not(environment):
    assert not environment.has(Section("runtime", "bell==1.3\n"))


def test_another_section_is_not(environment):
    assert not environment.has(Section("test", "bell==1.2\n"))


@pytest.mark.parametrize("text", ["", "half", "a b c"])
def test_a_spoilt_stamp_counts_for_nothing(environment, text):
    environment.stamp(SECTION).write_text(text)
    assert not environment.has(SECTION)


def test_a_lost_interpreter_is_noticed(environment):
    environment.python.unlink()
    environment.python.symlink_to("/no/such/python")
    assert not environment.has(SECTION)
    assert environment.version() is None


def test_from_within_an_upgraded_python_is_noticed(environment, monkeypatch):
    environment.stamp(SECTION).write_text(f"{SECTION.digest} 3.10\n")
    assert environment.has(SECTION)  # from outside it can't be told
    monkeypatch.setattr(sys, "prefix", str(environment.folder))
    assert not environment.has(SECTION)


def test_a_folder_that_is_no_environment_is_left_alone(tmp_path):
    folder = tmp_path / ".venv"
    folder.mkdir()
    (folder / "diary.txt").write_text("mine")
    with pytest.raises(SystemExit, match="is no virtual environment"):
        Environment(folder).clear()
    assert (folder / "diary.txt").exists()


def test_a_broken_environment_is_removed(environment):
    environment.clear()
    assert not environment.folder.exists()


def test_a_python_without_venv_stops_with_the_package_of_its_version(monkeypatch):
    monkeypatch.setattr(module, "can_make_venv", lambda: False)
    monkeypatch.setattr(needs, "apt_install", lambda need: False)
    monkeypatch.setattr(shutil, "which", lambda name: name if name == "apt-get" else None)
    with pytest.raises(SystemExit) as stop:
        module.ensure_venv()
    assert f"sudo apt-get install python{this_version()}-venv" in str(stop.value)


def test_venv_is_looked_for_again_once_installed(monkeypatch):
    answers = iter([False, True])
    monkeypatch.setattr(module, "can_make_venv", lambda: next(answers))
    monkeypatch.setattr(needs, "apt_install", lambda need: need is needs.VENV)
    module.ensure_venv()
    assert next(answers, None) is None


def test_an_environment_that_can_not_be_made_says_why(tmp_path, monkeypatch):
    def fail(line, **options):
        raise subprocess.CalledProcessError(1, line)

    monkeypatch.setattr(subprocess, "run", fail)
    with pytest.raises(SystemExit, match=r"Could not make .*\.venv"):
        Environment(tmp_path / ".venv").create()
