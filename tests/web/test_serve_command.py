"""``grader serve`` as a program: where it listens, what it says, and how it stops."""

import os
import signal
import socket
import subprocess
import sys
from contextlib import contextmanager
from urllib.error import HTTPError
from urllib.request import Request, urlopen

import pytest

from grader.web.security.addresses import home_addresses
from tests.support.run_grader import ROOT

needs_network = pytest.mark.skipif(not home_addresses(), reason='this computer is in no network')


@contextmanager
def serving(folder, *options):
    """The running program, and the address that it prints."""
    command = [sys.executable, '-m', 'grader', 'serve', '--no-browser', '--port', '0', *options]
    command += ['--collection', str(folder / 'glass')]
    # Without this the line that is waited for may stay in the program.
    environment = {**os.environ, 'PYTHONUNBUFFERED': '1', 'HOME': str(folder)}
    with subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment
    ) as program:
        try:
            line = program.stdout.readline()
            assert 'http://127.0.0.1:' in line, program.stderr.read()
            yield program, line.split()[2].rstrip('/')
        finally:
            program.kill()


def status_of(address, **headers):
    try:
        with urlopen(Request(f'{address}/help', headers=headers), timeout=20) as answer:
            return answer.status
    except HTTPError as err:
        with err:
            return err.code


def over_network(address):
    return address.replace('127.0.0.1', home_addresses()[0])


def test_answers_this_computer_and_stops_when_asked(tmp_path):
    with serving(tmp_path) as (program, address):
        assert status_of(address) == 200
        assert status_of(address, Host='evil.example') == 421
        program.send_signal(signal.SIGINT)
        _, told = program.communicate(timeout=30)
        assert "Traceback" not in told


@needs_network
def test_is_not_reached_over_the_network_unless_shared(tmp_path):
    with serving(tmp_path) as (_, address):
        host, port = over_network(address).removeprefix('http://').split(':')
        with pytest.raises(ConnectionRefusedError):
            socket.create_connection((host, int(port)), timeout=10)


@needs_network
def test_shared_says_so_and_lets_nobody_in_without_a_code(tmp_path):
    with serving(tmp_path, '--share') as (program, address):
        assert status_of(address) == 200
        assert status_of(over_network(address)) == 403
        assert status_of(over_network(address), **{'X-Forwarded-For': '127.0.0.1'}) == 403
        program.send_signal(signal.SIGINT)
        _, told = program.communicate(timeout=30)
        assert "each device of your home network can reach the page" in told
        assert "not encrypted" in told
