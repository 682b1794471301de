"""Each need has an exact command; apt-get runs only for root on Debian."""

import os
import shutil
import subprocess

import pytest

from workshop.bootstrap import needs


@pytest.fixture
def machine(monkeypatch):
    """Pretend to be on a machine with the given tools, as root or not."""

    def become(*tools, root):
        monkeypatch.delenv("BIKE_BENCH_NO_APT", raising=False)
        monkeypatch.setattr(shutil, "which", lambda name: name if name in tools else None)
        monkeypatch.setattr(os, "geteuid", lambda: 0 if root else 1000)

    return become


@pytest.fixture
def commands(monkeypatch):
    """The command lines that would have run; apt-get's last word is ``code``."""
    lines: list[list[str]] = []

    def run(line, **options):
        lines.append(line)
        return subprocess.CompletedProcess(line, commands_code[0])

    commands_code = [0]
    monkeypatch.setattr(subprocess, "run", run)
    return lines, commands_code


@pytest.mark.parametrize(
    ("tool", "command"),
    [
        (
            "apt-get",
            "sudo apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0",
        ),
        ("dnf", "sudo dnf install pango"),
        ("brew", "brew install pango"),
    ],
)
def test_the_command_is_for_the_package_manager_at_hand(machine, tool, command):
    machine(tool, root=False)
    assert needs.command_for(needs.PDF) == command


def test_all_commands_are_shown_where_no_package_manager_is_known(machine):
    machine(root=False)
    shown = needs.command_for(needs.PDF)
    assert "apt-get" in shown
    assert "dnf" in shown
    assert "brew" in shown


def test_root_on_debian_updates_the_lists_and_installs(machine, commands):
    machine("apt-get", root=True)
    lines, _ = commands
    assert needs.apt_install(needs.CHROMIUM)
    assert [line[:2] for line in lines] == [["apt-get", "update"], ["apt-get", "install"]]
    assert lines[1][-2:] == ["chromium", "libatomic1"]


def test_a_failed_installation_is_told(machine, commands):
    machine("apt-get", root=True)
    _, code = commands
    code[0] = 100
    assert not needs.apt_install(needs.CHROMIUM)


@pytest.mark.parametrize(("tools", "root"), [(["apt-get"], False), (["dnf"], True)])
def test_nobody_else_runs_apt(machine, commands, tools, root):
    machine(*tools, root=root)
    assert not needs.apt_install(needs.CHROMIUM)
    assert commands[0] == []


def test_root_can_forbid_apt(machine, commands, monkeypatch):
    machine("apt-get", root=True)
    monkeypatch.setenv("BIKE_BENCH_NO_APT", "1")
    assert not needs.apt_install(needs.CHROMIUM)
    assert commands[0] == []
