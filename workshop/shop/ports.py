"""Asks whether a port is free before a server is started on it."""

import errno
import socket


def is_free(host: str, port: int) -> bool:
    """Whether a server may listen there.

    Raises:
        OSError: the host is unknown or not this machine's, or the port not allowed.
    """
    family, kind, protocol, _, address = socket.getaddrinfo(
        host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
    )[0]
    with socket.socket(family, kind, protocol) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(address)
        except OSError as error:
            if error.errno == errno.EADDRINUSE:
                return False
            raise
    return True
