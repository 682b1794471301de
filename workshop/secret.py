"""A secret key of this installation, made once and kept beside its data."""

from __future__ import annotations

import os
import secrets
import tempfile
from pathlib import Path


def kept_secret(path: Path) -> str:
    """Return the key kept at ``path``; make it on first use, readable by its owner alone.

    Processes that start at once agree: the key is written elsewhere and then given its name,
    which only the first can do, so that nobody reads a file that is still being written.
    """
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        _make(path)
    return path.read_text(encoding="ascii")


def _make(path: Path) -> None:
    """Write a new key at ``path``, unless another process was first."""
    handle, name = tempfile.mkstemp(prefix=f"{path.name}.", dir=path.parent)  # its owner's alone
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(secrets.token_urlsafe(50))
    try:
        os.link(name, path)
    except FileExistsError:
        pass
    finally:
        Path(name).unlink()
