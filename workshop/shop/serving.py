"""Serves the site from one process, through gunicorn."""

from collections.abc import Callable
from typing import Any

from django.core.wsgi import get_wsgi_application
from gunicorn.app.base import BaseApplication

THREADS = 8
REQUEST_SECONDS = 120
LAST_REQUESTS_SECONDS = 5
"""How long requests under way may still take once the server is told to stop."""


class Server(BaseApplication):
    """Gunicorn with one worker of a few threads, set up in code."""

    def __init__(self, host: str, port: int, when_ready: Callable[[], None]) -> None:
        self.options = {
            "bind": f"[{host}]:{port}" if ":" in host else f"{host}:{port}",
            "workers": 1,
            "threads": THREADS,
            "timeout": REQUEST_SECONDS,
            "graceful_timeout": LAST_REQUESTS_SECONDS,
            "loglevel": "warning",
            "control_socket_disable": True,
            "when_ready": lambda _server: when_ready(),
        }
        super().__init__()

    def load_config(self) -> None:
        """Hand the options to gunicorn, which reads no file of its own."""
        for name, value in self.options.items():
            self.cfg.set(name, value)

    def load(self) -> Any:  # noqa: ANN401  # whatever Django's handler is
        """Return the site."""
        return get_wsgi_application()
