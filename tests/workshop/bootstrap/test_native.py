"""What is not Python is found, installed, or asked for by its exact command."""

import re
import shutil
import sys
from pathlib import Path

import pytest
import weasyprint

from workshop.bootstrap import native, needs


@pytest.fixture
def without_pango(monkeypatch):
    """No library opens, and apt-get may not bring it."""
    monkeypatch.setattr(native, "opens", lambda name: "pango" not in name)
    monkeypatch.setattr(needs, "apt_install", lambda need: False)


def test_the_libraries_are_those_that_weasyprint_opens():
    source = Path(weasyprint.__file__).parent / "text" / "ffi.py"
    opened = set(re.findall(r"'([^']+\.(?:so\.\d|dylib|dll))'", source.read_text("utf-8")))
    asked = {name for names in native.LIBRARIES.values() for name in names}
    assert asked <= opened
    assert {name for name in opened if "vector" not in name} == asked


def test_a_machine_that_draws_pdfs_misses_nothing():
    assert weasyprint.HTML(string="<p>bell").write_pdf().startswith(b"%PDF")
    assert native.missing_libraries() == []


def test_an_absent_library_does_not_open():
    assert not native.opens("libno-such-bell.so.9")


@pytest.mark.usefixtures("without_pango")
def test_missing_libraries_stop_with_the_exact_command(monkeypatch):
    monkeypatch.setattr(shutil, "which", lambda name: name if name == "apt-get" else None)
    with pytest.raises(SystemExit) as stop:
        native.ensure_libraries()
    assert "Missing: Pango, PangoFT2" in str(stop.value)
    assert "\n    sudo apt-get install libpango-1.0-0 " in str(stop.value)


def test_installed_libraries_are_looked_for_again(monkeypatch):
    there = []

    def bring(need):
        there.append(need)
        return True

    monkeypatch.setattr(native, "opens", lambda name: bool(there))
    monkeypatch.setattr(needs, "apt_install", bring)
    native.ensure_libraries()
    assert there == [needs.PDF]


@pytest.mark.parametrize(
    ("platform", "words"),
    [("darwin", "DYLD_FALLBACK_LIBRARY_PATH"), ("win32", "WEASYPRINT_DLL_DIRECTORIES")],
)
def test_other_systems_get_their_own_hint(monkeypatch, platform, words):
    monkeypatch.setattr(sys, "platform", platform)
    assert words in native.explain_missing(["Pango"])


def test_homebrews_folder_is_told_to_the_loader_on_macos_only(monkeypatch, tmp_path):
    monkeypatch.delenv("DYLD_FALLBACK_LIBRARY_PATH", raising=False)
    monkeypatch.setattr(native, "BREW_FOLDERS", (str(tmp_path), str(tmp_path / "absent")))
    assert native.library_environment() == {}
    monkeypatch.setattr(sys, "platform", "darwin")
    assert native.library_environment() == {"DYLD_FALLBACK_LIBRARY_PATH": str(tmp_path)}


def test_a_chromium_named_in_the_environment_wins(monkeypatch):
    monkeypatch.setenv("CHROMIUM", "/opt/bell/chromium")
    assert native.find_chromium() == "/opt/bell/chromium"


def test_without_chromium_the_tests_go_on_with_one_line(monkeypatch, capsys):
    monkeypatch.setattr(native, "find_chromium", lambda: None)
    monkeypatch.setattr(needs, "apt_install", lambda need: False)
    native.ensure_chromium()
    said = capsys.readouterr().err
    assert said.startswith("No Chromium: browser tests will be skipped.")


def test_a_chromium_that_can_not_be_steered_is_none(monkeypatch):
    monkeypatch.setenv("CHROMIUM", "/opt/bell/chromium")
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(native, "opens", lambda name: "atomic" not in name)
    assert not native.can_browse()
    monkeypatch.setattr(native, "opens", lambda name: True)
    assert native.can_browse()
