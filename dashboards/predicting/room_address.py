"""Where a room's phones find this computer: one address of its own, said by the instructor or found."""

from __future__ import annotations

import ipaddress
import socket

from ingest.errors import RoomUnreachable

FIND = "find"
_NOWHERE = ("192.0.2.1", 9)
"""An address kept for documents (RFC 5737): a datagram socket tied to it sends nothing, but knows from which address it would."""
_SAY = (
    "Say this computer’s address in the room’s network, as in --room 192.168.1.20, or 'find'; a port may follow, as in 192.168.1.20:5080."
)


def room_address(text: str, beside: int) -> tuple[str, int]:
    """The address and port for a room, from `ADDRESS`, `ADDRESS:PORT`, `find` or `find:PORT`; without a port, the one after `beside`.

    Raises:
        RoomUnreachable: it is no single IPv4 address, or the port is none.
    """
    host, _, port_text = text.strip().partition(":")
    port = int(port_text) if port_text.isdecimal() else 0 if port_text else beside + 1
    if not 0 < port < 65536:
        raise RoomUnreachable(f"There is no port for a room in {text!r}. {_SAY}")
    if host == FIND:
        return _found(), port
    try:
        address = ipaddress.IPv4Address(host)
    except ValueError:
        raise RoomUnreachable(f"{host!r} is no address. {_SAY}") from None
    if address.is_unspecified or address.is_multicast or address == ipaddress.IPv4Address("255.255.255.255"):
        raise RoomUnreachable(f"{host} stands for many addresses, and a room has one. {_SAY}")
    return str(address), port


def _found() -> str:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(_NOWHERE)
            return str(probe.getsockname()[0])
        except OSError as error:
            raise RoomUnreachable(f"No address of this computer was found ({error.strerror}). Join the room’s network. {_SAY}") from error


def listen_socket(host: str, port: int) -> socket.socket:
    """A socket that listens on that one address.

    Raises:
        RoomUnreachable: the address is none of this computer's, or the port is taken.
    """
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((host, port))
        listener.listen(128)
        listener.setblocking(False)
    except OSError as error:
        listener.close()
        why = f"The page for phones cannot be opened at {host}, port {port}: {error.strerror}"
        raise RoomUnreachable(f"{why}. Say an address of this computer and a free port, as in --room {host}:{port + 1}.") from error
    return listener
