"""This computer's own addresses."""

import ipaddress
import socket

import pytest

from grader.web.security import addresses
from grader.web.security.addresses import home_addresses, is_this_computer


def test_found_addresses_are_this_computers_own():
    for address in home_addresses():
        assert not ipaddress.IPv4Address(address).is_loopback
        with socket.socket() as own:
            own.bind((address, 0))  # fails for an address of another computer


def test_found_once_each():
    found = home_addresses()
    assert len(found) == len(set(found))


def test_none_without_a_network(monkeypatch):
    class Unreachable(socket.socket):
        def connect(self, address):
            raise OSError('Network is unreachable')

    monkeypatch.setattr(addresses.socket, 'socket', Unreachable)
    assert home_addresses() == ()


@pytest.mark.parametrize('address', ['127.0.0.1', '127.255.255.254', '::1', '::ffff:127.0.0.1'])
def test_this_computer(address):
    assert is_this_computer(address)


@pytest.mark.parametrize(
    'address', ['128.0.0.1', '192.168.1.2', '::', '0.0.0.0', '::ffff:192.168.1.2', '', 'localhost', '127.1']
)
def test_elsewhere(address):
    assert not is_this_computer(address)
