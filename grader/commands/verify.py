"""``grader verify``: the check of a sealed bag, or of a chain of them."""

from pathlib import Path
from typing import Annotated

import typer

from grader.commands.options import Verbose
from grader.commands.seal_options import CaFile, authorities_given, fingerprints_from, usual_key
from grader.errors import BagInvalid
from grader.evidence.names import shown
from grader.evidence.seal_key import fingerprint_at
from grader.evidence.verification import verify as verify_bags
from grader.evidence.wording import fault_words, verification_words


def verify(
    path: Annotated[Path, typer.Argument(metavar='PATH', help="A bag, or a folder of the bags of one piece.")],
    previous: Annotated[
        Path | None,
        typer.Option('--previous', metavar='PATH', help="The bag before it, or a folder of those, to check the link."),
    ] = None,
    fingerprint: Annotated[
        list[str] | None,
        typer.Option('--fingerprint', metavar='TEXT', help="Fingerprint of the key that should have signed."),
    ] = None,
    ca: CaFile = None,
    as_json: Annotated[bool, typer.Option('--json', help="Print the findings as JSON.")] = False,
    verbose: Verbose = False,
) -> None:
    """Check a sealed bag, or a folder of sealed bags.

    Finds every changed, missing, added or reordered file, broken links between bags and wrong signatures, all in one
    go, and says what that proves. Bags of other programs are checked too.
    """
    found = verify_bags(path, previous, fingerprints_from(fingerprint or ()), authorities_given(ca))
    if as_json:
        typer.echo(found.to_json(), nl=False)
    if not found.is_valid:
        raise BagInvalid(shown(str(path)), [fault_words(fault) for fault in found.faults])
    if not as_json:
        typer.echo(verification_words(found, fingerprint_at(usual_key())), nl=False)
