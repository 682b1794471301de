"""A secret key of this installation, made once and kept beside its data."""

from __future__ import annotations

import secrets
from pathlib import Path


def kept_secret(path: Path) -> str:
    """Return the key kept at ``path``; make it on first use, readable by its owner alone.

    Two processes that start at once agree: whoever creates the file first wins.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        with path.open("x", encoding="ascii") as file:
            path.chmod(0o600)
            file.write(secrets.token_urlsafe(50))
    except FileExistsError:
        pass
    return path.read_text(encoding="ascii")
