"""A port is asked for before a server is started on it."""

import socket

import pytest

from workshop.shop.ports import is_free


@pytest.fixture
def taken():
    """A port on which somebody listens."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()
        yield listener.getsockname()[1]


def test_a_port_in_use_is_not_free(taken):
    assert not is_free("127.0.0.1", taken)


def test_a_port_is_free_again_afterwards(taken):
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        port = listener.getsockname()[1]
    assert is_free("127.0.0.1", port)


def test_an_address_of_another_machine_is_an_error():
    with pytest.raises(OSError, match="assign"):
        is_free("192.0.2.1", 8000)  # kept for documentation by RFC 5737
