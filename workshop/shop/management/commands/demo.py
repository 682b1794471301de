"""Prepares the demo shop and serves it."""

import argparse
import os
import sys
import webbrowser
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connections

from workshop.shop import demo
from workshop.shop.ports import is_free

LAST_PORT = 65535
# Hosts that mean every network, and where this machine then finds itself.
EVERYWHERE = {"0.0.0.0": "127.0.0.1", "::": "[::1]"}  # noqa: S104


def port_number(text: str) -> int:
    """Read a port from the command line."""
    if not text.isdecimal() or not 0 < int(text) <= LAST_PORT:
        raise argparse.ArgumentTypeError(f"a port is a number from 1 to {LAST_PORT}, not {text!r}")
    return int(text)


class Command(BaseCommand):
    """``manage.py demo``: migrates, loads the demo shop once, shows the logins, serves."""

    help = "Serves the demo shop on this machine."
    requires_migrations_checks = False

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Add the address, the browser and the fresh start."""
        parser.add_argument("--port", type=port_number, default=8000, help="default: 8000")
        parser.add_argument("--host", default="127.0.0.1", help="default: this machine only")
        parser.add_argument("--no-browser", action="store_true", help="open no browser")
        parser.add_argument(
            "--reset", action="store_true", help="delete the demo's database and photos first"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Prepare and serve.

        Raises:
            CommandError: the port is taken, or the data are not the demo's.
        """
        if not settings.DEMO:
            raise CommandError("DEMO=0 is set, so this is a real shop. Unset it for the demo.")
        host, port = options["host"], options["port"]
        self.check_port(host, port)
        try:
            self.prepare(reset=options["reset"])
        except demo.NotTheDemoError as error:
            raise CommandError(str(error)) from error
        except KeyboardInterrupt:
            raise CommandError("Stopped before the demo shop was complete. Start again.") from None
        self.serve(host, port, browser=not options["no_browser"] and has_display())

    def check_port(self, host: str, port: int) -> None:
        """See that the address can be had.

        Raises:
            CommandError: it can't; the message names the way out.
        """
        try:
            free = is_free(host, port)
        except OSError as error:
            raise CommandError(
                f"Cannot listen on {host}, port {port}: {error.strerror}. "
                "Name another with --host or --port."
            ) from error
        if not free:
            other = port + 1 if port < LAST_PORT else 8000
            raise CommandError(
                f"Port {port} is in use, perhaps by another demo. Name another: --port {other}"
            )

    def prepare(self, *, reset: bool) -> None:
        """Bring the database up to date and load the demo shop unless it is there."""
        if reset:
            for path in demo.reset():
                self.say(f"Deleted {path}")
        self.say("Preparing the database ...")
        call_command("migrate", verbosity=0, interactive=False)
        if not demo.is_loaded():
            self.say("Loading the demo shop, once ...")
            demo.load()

    def serve(self, host: str, port: int, *, browser: bool) -> None:
        """Serve until stopped; greet once the address answers."""
        url = f"http://{EVERYWHERE.get(host, host)}:{port}/"

        def when_ready() -> None:
            self.greet(url)
            if host in EVERYWHERE:
                self.say("Everybody in this network can open it and log in.")
            if browser:
                webbrowser.open(url)

        connections.close_all()
        Path(settings.STATIC_ROOT).mkdir(parents=True, exist_ok=True)  # whitenoise asks for it
        if find_spec("fcntl"):
            from workshop.shop.serving import Server

            Server(host, port, when_ready).run()
        else:  # Windows has no gunicorn
            when_ready()
            call_command("runserver", f"{host}:{port}", use_reloader=False)

    def greet(self, url: str) -> None:
        """Print the address and the logins."""
        logins = demo.read_logins()
        self.say(f"\nThe demo shop is open at {url}  (Ctrl-C closes it)\n")
        self.say(f"Log in as one of these; the password is {logins.password} for all:")
        for person in logins.people:
            self.say(f"  {person.username:<12} {person.role:<12} {person.name}")

    def say(self, text: str) -> None:
        """Print a line at once, even into a pipe."""
        self.stdout.write(text)
        self.stdout.flush()


def has_display() -> bool:
    """Whether a browser window could open here."""
    if sys.platform in {"win32", "darwin"}:
        return not os.environ.get("SSH_CONNECTION")
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
