"""The demo shop's state: who may log in, whether it is loaded, and how it is taken away."""

import json
import shutil
from pathlib import Path
from typing import NamedTuple

from django.conf import settings
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction

from workshop.people.models import User

PEOPLE = Path("fixtures", "demo", "people.json")


class Login(NamedTuple):
    """A person of the demo shop, as the welcome shows them."""

    username: str
    name: str
    role: str


class Logins(NamedTuple):
    """Everybody of the demo shop, and the one password that they share."""

    password: str
    people: tuple[Login, ...]


class NotTheDemoError(Exception):
    """What was found is somebody's own; the demo leaves it alone."""


def read_logins() -> Logins:
    """Read the demo shop's people from its fixture."""
    data = json.loads((settings.BASE_DIR / PEOPLE).read_text(encoding="utf-8"))
    people = tuple(Login(row["username"], row["name"], row["role"]) for row in data["people"])
    return Logins(data["password"], people)


def is_loaded() -> bool:
    """Whether the database holds the demo shop. It is loaded whole or not at all."""
    names = [person.username for person in read_logins().people]
    return User.objects.filter(username__in=names).exists()


def load() -> None:
    """Load catalogue and demo shop in one transaction: a break leaves nothing of them behind.

    Raises:
        NotTheDemoError: the database holds people who are not the demo shop's.
    """
    if User.objects.exists():
        raise NotTheDemoError(
            "The database holds a shop that isn't the demo. To see the demo beside it, name "
            "another database: DATABASE_URL=sqlite:///demo.sqlite3"
        )
    with transaction.atomic():
        call_command("load_catalogue", verbosity=0)
        call_command("load_demo")  # tells how far it has come


def reset() -> list[Path]:
    """Delete the demo shop's database file and photos; return what was deleted.

    Raises:
        NotTheDemoError: they don't lie in the data folder, or hold somebody's own shop.
    """
    doomed = [path for path in places() if path.exists()]
    outside = [path for path in doomed if not path.is_relative_to(settings.DATA_DIR)]
    if connection.vendor != "sqlite" or outside:
        raise NotTheDemoError(
            f"--reset deletes only what lies in {settings.DATA_DIR}. Empty this by hand: "
            + (", ".join(map(str, outside)) or f"database {connection.settings_dict['NAME']}")
        )
    if holds_another_shop():
        raise NotTheDemoError(
            f"{doomed[0]} holds a shop that isn't the demo, so --reset leaves it alone."
        )
    connection.close()
    for path in doomed:
        if path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)
    return doomed


def places() -> list[Path]:
    """Return where the demo's data lie: database, its side files, photos."""
    database = str(connection.settings_dict["NAME"])
    files = [Path(database + ending) for ending in ("", "-wal", "-shm")]
    return [*(files if connection.vendor == "sqlite" else []), Path(settings.MEDIA_ROOT)]


def holds_another_shop() -> bool:
    """Whether somebody other than the demo's people has an account, and none of these has."""
    try:
        return User.objects.exists() and not is_loaded()
    except DatabaseError:  # no tables yet: a first start that was broken off
        return False
