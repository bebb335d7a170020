"""``grader timestamp``: a request for a time stamp over a sealed bag, and the reply attached to it."""

import secrets
from pathlib import Path
from typing import Annotated

import typer

from grader.commands.options import Verbose
from grader.commands.seal_options import CaFile, authorities_given, sealed_bag_at
from grader.errors import OutputNotWritable, SettingsInvalid
from grader.evidence.check_stamp import judge_stamp, stamp_manifest
from grader.evidence.constants import MAX_REPLY_BYTES, NONCE_BYTES
from grader.evidence.hashing import write_new
from grader.evidence.layout import STAMP_FOLDER, STAMP_MANIFEST, STAMP_REPLY, STAMP_REQUEST
from grader.evidence.time_stamp.request import request_for
from grader.output import new_file, new_folder


def timestamp(
    bag: Annotated[Path, typer.Argument(metavar='BAG', help="A sealed bag.")],
    request: Annotated[
        Path,
        typer.Option('--request', metavar='FILE', help="Request to write; with --reply the request that was sent."),
    ],
    reply: Annotated[
        Path | None, typer.Option('--reply', metavar='FILE', help="The authority's reply, to be checked and attached.")
    ] = None,
    ca: CaFile = None,
    verbose: Verbose = False,
) -> None:
    """Prepare a time stamp for a sealed bag, and attach the reply.

    The program sends nothing: you send the request (RFC 3161) to an authority of your choice, and give the reply.
    """
    checked = sealed_bag_at(bag)
    if checked.stamp is not None:
        raise OutputNotWritable(
            f"{bag}: it has a time stamp already.", "Keep that one; a later bag of the chain can get another."
        )
    if reply is None:
        _write_request(request, checked.manifest_sha256)
        typer.echo(f"Request: {request}\nSend it to a time-stamping authority, then attach the reply with --reply.")
        return
    asked, answered = _read(request), _read(reply)
    check = judge_stamp(asked, answered, checked.manifest_sha256, authorities_given(ca))
    if check.faults:
        raise SettingsInvalid(
            f"{reply}: this time stamp was not attached. " + ' '.join(fault.words for fault in check.faults),
            "Give the reply to this very request, or ask the authority again.",
        )
    with new_folder(bag / STAMP_FOLDER, work_in=bag.resolve().parent) as work:
        write_new(work / Path(STAMP_REQUEST).name, asked)
        write_new(work / Path(STAMP_REPLY).name, answered)
        write_new(work / Path(STAMP_MANIFEST).name, stamp_manifest(asked, answered).encode())
    vouched = "" if check.is_trusted else " (whether that authority is real was not asked; see --ca)"
    typer.echo(f"Attached: {check.time} by {check.authority}{vouched}")


def _write_request(path: Path, manifest_sha256: str) -> None:
    with new_file(path) as work:
        work.write_bytes(request_for(manifest_sha256, secrets.randbits(8 * NONCE_BYTES)))


def _read(path: Path) -> bytes:
    try:
        if path.stat().st_size > MAX_REPLY_BYTES:
            raise SettingsInvalid(
                f"{path}: this file is far too large for a time stamp.", "Give the file as the authority sent it."
            )
        return path.read_bytes()
    except OSError as err:
        raise SettingsInvalid(
            f"{path}: it cannot be opened ({err.strerror or err}).", "Check the name and the folder."
        ) from err
