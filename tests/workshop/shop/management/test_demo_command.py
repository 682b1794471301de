"""``manage.py demo`` greets, serves, and says what is in its way.

It starts here on a database that has one of the demo's people, so that it takes the demo for
loaded: loading all of it takes long, is tested where it is written, and done for real by the gate.
"""

import os
import re
import socket
import subprocess
import sys
import threading
import urllib.request

import pytest
from django.core.management import CommandError, call_command

from workshop.bootstrap.handover import REPO
from workshop.shop import demo
from workshop.shop.management.commands import demo as command

PATIENCE_SECONDS = 120


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A folder for the demo's data, and the environment that points there."""
    folder = tmp_path_factory.mktemp("demo")
    environment = {
        **os.environ,
        "BIKE_BENCH_NO_BOOTSTRAP": "1",
        "DATABASE_URL": f"sqlite:///{folder / 'shop.sqlite3'}",
        "MEDIA_ROOT": str(folder / "media"),
    }
    person = demo.read_logins().people[0]
    add = f"User.objects.create(username={person.username!r}, role={person.role!r})"
    script = f"from workshop.people.models import User; {add}"
    for arguments in (["migrate", "-v0"], ["shell", "-c", script]):
        subprocess.run(
            [sys.executable, "manage.py", *arguments], cwd=REPO, env=environment, check=True
        )
    return environment


def start(place, port, *options):
    """Start the demo; its output goes into a pipe."""
    return subprocess.Popen(
        [sys.executable, "manage.py", "demo", "--no-browser", f"--port={port}", *options],
        cwd=REPO,
        env=place,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )


def greeting(process):
    """Read the demo's output up to the last login."""
    last = demo.read_logins().people[-1].username
    lines = []
    guard = threading.Timer(PATIENCE_SECONDS, process.kill)
    guard.start()
    for line in process.stdout:
        lines.append(line)
        if line.strip().startswith(f"{last} "):
            break
    guard.cancel()
    return "".join(lines)


@pytest.fixture(scope="module")
def served(place):
    """The demo's port and greeting, while it runs."""
    port = free_port()
    process = start(place, port)
    yield port, greeting(process)
    process.terminate()
    assert process.wait(timeout=PATIENCE_SECONDS) == 0
    process.stdout.close()


def test_the_greeting_has_address_and_logins(served):
    port, text = served
    assert f"http://127.0.0.1:{port}/" in text
    logins = demo.read_logins()
    assert f"password is {logins.password} " in text
    for person in logins.people:
        assert re.search(rf"(?m)^ +{person.username} +{person.role} +{person.name}$", text)


def test_a_stranger_sees_the_sign_in_page_with_its_style(served):
    root = f"http://127.0.0.1:{served[0]}"
    with urllib.request.urlopen(root, timeout=30) as answer:
        page = answer.read().decode()
    assert 'name="password"' in page
    sheet = re.search(r'href="([^"]+\.css)"', page)
    assert sheet
    with urllib.request.urlopen(root + sheet[1], timeout=30) as answer:
        assert answer.headers["Content-Type"].startswith("text/css")


def test_a_second_demo_on_its_port_is_told_another_one(served, place):
    port = served[0]
    process = start(place, port)
    out, _ = process.communicate(timeout=PATIENCE_SECONDS)
    assert process.returncode == 1
    assert f"Port {port} is in use" in out
    assert f"--port {port + 1}" in out


def test_a_later_start_loads_nothing_again(served, place):
    process = start(place, free_port())
    text = greeting(process)
    process.terminate()
    process.communicate(timeout=PATIENCE_SECONDS)
    assert "Loading" not in text
    assert "The demo shop is open at" in text


@pytest.mark.parametrize("port", ["0", "65536", "-1", "eighty", "8000.5", ""])
def test_an_impossible_port_is_refused(port):
    with pytest.raises(CommandError, match="a port is a number from 1 to 65535"):
        call_command("demo", f"--port={port}")


def test_an_address_of_another_machine_is_refused():
    with pytest.raises(CommandError, match=r"Cannot listen on 192\.0\.2\.1, port 8000"):
        call_command("demo", "--host=192.0.2.1")


def test_a_real_shop_is_not_served_as_the_demo(settings):
    settings.DEMO = False
    with pytest.raises(CommandError, match="DEMO=0 is set"):
        call_command("demo")


def test_a_broken_off_load_is_told(monkeypatch):
    def break_off(self, **options):
        raise KeyboardInterrupt

    monkeypatch.setattr(command.Command, "prepare", break_off)
    with pytest.raises(CommandError, match="Stopped before the demo shop was complete"):
        call_command("demo", f"--port={free_port()}")


@pytest.mark.parametrize(
    ("platform", "variables", "opens"),
    [
        ("linux", {}, False),
        ("linux", {"DISPLAY": ":0"}, True),
        ("linux", {"WAYLAND_DISPLAY": "wayland-0"}, True),
        ("darwin", {}, True),
        ("darwin", {"SSH_CONNECTION": "x"}, False),
    ],
)
def test_a_browser_opens_only_where_there_is_a_screen(monkeypatch, platform, variables, opens):
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "SSH_CONNECTION"):
        monkeypatch.delenv(name, raising=False)
    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys, "platform", platform)
    assert command.has_display() is opens
