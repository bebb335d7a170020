"""Addresses of this computer, found without asking anybody."""

import ipaddress
import socket

# Connecting a datagram socket sends nothing: the system only looks up which of its own addresses it would send from.
# Private networks (RFC 1918), and one for documentation (RFC 5737) that stands for "anywhere else".
_TOWARDS = ('192.168.0.1', '192.168.1.1', '192.168.178.1', '10.0.0.1', '10.1.1.1', '172.16.0.1', '192.0.2.1')
_ANY_PORT = 9


def home_addresses() -> tuple[str, ...]:
    """IPv4 addresses under which other devices of the home network reach this computer; the likeliest first.

    Nothing is sent. The one that leads to the internet comes first, as that is the one a phone shares.
    """
    found = [_own_address_towards(target) for target in reversed(_TOWARDS)]
    usable = [one for one in found if one is not None and _is_usable(one)]
    return tuple(dict.fromkeys(usable))


def _own_address_towards(target: str) -> str | None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect((target, _ANY_PORT))
            address: str = asking.getsockname()[0]
        except OSError:
            return None
    return address


def _is_usable(address: str) -> bool:
    known = ipaddress.ip_address(address)
    return not (known.is_loopback or known.is_unspecified)


def is_this_computer(address: str) -> bool:
    """Whether a client's address can only be this computer's own: the loopback network.

    Others are False, this computer's address on the home network too.
    """
    try:
        known = ipaddress.ip_address(address)
    except ValueError:
        return False
    if isinstance(known, ipaddress.IPv6Address) and known.ipv4_mapped is not None:
        known = known.ipv4_mapped
    return known.is_loopback
