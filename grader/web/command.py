"""``grader serve``: the whole job in a browser on this computer."""

import os
import webbrowser
from pathlib import Path
from typing import Annotated

import typer

from grader.collection.place import COLLECTION_FILE
from grader.commands.collection.options import PLACE_VARIABLE, CollectionOption
from grader.commands.options import Verbose
from grader.errors import SettingsInvalid
from grader.web.app import create_app
from grader.web.constants import DEFAULT_PORT
from grader.web.desk import Desk
from grader.web.security.addresses import home_addresses
from grader.web.server import listening_socket, run_server

_USUAL_FOLDER = 'Glass collection'
_OWN, _ALL = '127.0.0.1', '0.0.0.0'
_SHARED = (
    "Shared:     each device of your home network can reach the page now, but only those see or do anything that you\n"
    "            let in under \"Use a phone\". What they send is not encrypted, so share at home only."
)


def serve(
    collection: CollectionOption = None,
    port: Annotated[
        int, typer.Option('--port', metavar='N', min=0, max=65535, help="Port to use; 0 takes any that is free.")
    ] = DEFAULT_PORT,
    key: Annotated[
        Path | None, typer.Option('--key', metavar='FILE', help="Key to seal with; without it your usual one.")
    ] = None,
    share: Annotated[
        bool,
        typer.Option('--share', help="Let phones of your home network in too, each by a code that the page shows."),
    ] = False,
    no_browser: Annotated[bool, typer.Option('--no-browser', help="Only print the address; open no browser.")] = False,
    verbose: Verbose = False,
) -> None:
    """Open the page: the whole job in a browser, on this computer.

    Nothing is sent anywhere. Stop it with Ctrl-C.
    """
    root = _folder(collection)
    addresses = _shared_addresses() if share else ()
    listening = listening_socket(_ALL if share else _OWN, port)
    port = listening.getsockname()[1]
    desk = Desk(root=root, key=key, port=port, addresses=addresses)
    address = f'http://{_OWN}:{port}/'
    typer.echo(f"Collection: {root}", err=True)
    typer.echo(f"The page:   {address}   (stop with Ctrl-C)")
    if share:
        typer.echo(_SHARED, err=True)
    if not no_browser:
        webbrowser.open(address)
    run_server(create_app(desk), listening)


def _shared_addresses() -> tuple[str, ...]:
    """Addresses of this computer on the home network."""
    found = home_addresses()
    if not found:
        raise SettingsInvalid(
            "This computer is in no network, so there is nobody to share the page with.",
            "Connect it to your home network, or leave out --share.",
        )
    return found


def _folder(given: Path | None) -> Path:
    """Folder of the collection: named, of the environment, this one, or the usual one in the home folder."""
    named = os.environ.get(PLACE_VARIABLE, '')
    if given is not None:
        return given.absolute()
    if named:
        return Path(named).absolute()
    return Path.cwd() if Path(COLLECTION_FILE).exists() else Path.home() / _USUAL_FOLDER
