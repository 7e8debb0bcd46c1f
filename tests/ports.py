"""Ports for servers that tests start in other processes."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def held_port() -> Iterator[int]:
    """A free port of the loopback that no other program is given, until this ends.

    It is held by a socket that does not listen: a server that asks for just this port, as servers do with SO_REUSEADDR, has it.
    """
    with socket.socket() as holder:
        holder.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        holder.bind(("127.0.0.1", 0))
        yield int(holder.getsockname()[1])
