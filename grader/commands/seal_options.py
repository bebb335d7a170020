"""Options that the commands for sealed bags share, and what they come to."""

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from grader.errors import BagInvalid, SettingsInvalid
from grader.evidence.bag_check import BagCheck, check_bag
from grader.evidence.time_stamp.trust import Authorities, authorities_from

_KEY_NAME = 'seal-key.pem'

CaFile = Annotated[
    Path | None,
    typer.Option('--ca', metavar='FILE', help="Certificates (PEM) of time-stamping authorities that you trust."),
]


def usual_key() -> Path:
    """Where the key lies if nothing else is said: the user's own folder for settings."""
    return Path(typer.get_app_dir('grader')) / _KEY_NAME


def authorities_given(ca: Path | None) -> Authorities:
    """Authorities of the file, or none."""
    return Authorities() if ca is None else authorities_from(ca)


def fingerprints_from(texts: Sequence[str]) -> tuple[str, ...]:
    """Fingerprints as the user typed them, without blanks and colons.

    Raises
    ------
    SettingsInvalid
        If one is not of 64 hexadecimal digits.
    """
    found = tuple(re.sub('[^0-9a-z]', '', text.lower()) for text in texts)
    for text, one in zip(texts, found, strict=True):
        if not re.fullmatch('[0-9a-f]{64}', one):
            raise SettingsInvalid(
                f"--fingerprint: \"{text}\" is not a fingerprint, which has 64 digits from 0 to f.",
                "Type it as \"grader seal\" printed it; blanks do not matter.",
            )
    return found


def sealed_bag_at(path: Path) -> BagCheck:
    """A sealed bag without faults.

    Raises
    ------
    SettingsInvalid
        If there is no bag, or it is not sealed.
    BagInvalid
        If it has faults.
    """
    if not path.is_dir():
        raise SettingsInvalid(f"{path}: there is no such folder.", "Give a bag that \"grader seal\" wrote.")
    bag = check_bag(path, Authorities())
    if bag.faults:
        raise BagInvalid(str(path), [str(fault) for fault in bag.faults])
    if bag.link is None:
        raise SettingsInvalid(f"{path}: this bag is not sealed.", "Give a bag that \"grader seal\" wrote.")
    return bag
