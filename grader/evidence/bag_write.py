"""Packing to disk: a sealed bag in an empty folder, made from copies.

The bag is written here and not by ``bagit.make_bag``, which moves the files it is given, changes the working folder
of the whole process and writes today's date. The ``bagit`` library has the last word instead: a bag that it does not
take is never handed out.
"""

import warnings
from datetime import datetime
from pathlib import Path

import bagit

from grader.errors import OutputNotWritable, PhotoSetUnusable
from grader.evidence.bag_text import BAGIT_TEXT, manifest_text, tag_text
from grader.evidence.hashing import copy_hashed, sha256_of, write_new
from grader.evidence.how_to_check import HOW_TO_CHECK
from grader.evidence.layout import (
    BAG_DESCRIPTION,
    BAG_INFO,
    BAGIT,
    HOW_TO,
    MANIFEST,
    PUBLIC_KEY,
    SEAL,
    SEALED_TAG_FILES,
    SIGNATURE,
    TAG_MANIFEST,
)
from grader.evidence.packing import PackedFile, Packing
from grader.evidence.seal_key import SealKey
from grader.evidence.seal_text import BagLink, seal_after, seal_text
from grader.version import __version__


def write_bag(packing: Packing, work: Path, key: SealKey, previous: BagLink | None, when: datetime | None) -> BagLink:
    """Write a sealed bag into the empty folder `work`; the same packing, key and time give the same bytes.

    Returns
    -------
    BagLink
        The new bag, as the next one is to name it.

    Raises
    ------
    PhotoSetUnusable
        If a photo changed since the packing was planned.
    OutputNotWritable
        If what was written cannot be read back.
    OSError
        If the disk is full or may not be written to.
    """
    digests, n_bytes = _copy_payload(packing, work)
    manifest = manifest_text(digests)
    identifier = sha256_of(manifest.encode())
    facts = seal_after(identifier, previous, key.fingerprint, '' if when is None else when.isoformat())
    texts = {
        BAGIT: BAGIT_TEXT,
        BAG_INFO: _bag_info(identifier, f'{n_bytes}.{len(digests)}', when),
        MANIFEST: manifest,
        SEAL: seal_text(facts),
        PUBLIC_KEY: key.public_pem.decode('ascii'),
        HOW_TO: HOW_TO_CHECK,
    }
    tag_digests = {path: sha256_of(texts[path].encode()) for path in SEALED_TAG_FILES}
    signed = manifest_text(tag_digests).encode()
    files = {path: text.encode() for path, text in texts.items()}
    for path, data in (files | {TAG_MANIFEST: signed, SIGNATURE: key.sign(signed)}).items():
        (work / path).parent.mkdir(exist_ok=True)
        write_new(work / path, data)
    _ask_the_library(work)
    return BagLink(identifier, sha256_of(signed), facts.number)


def _ask_the_library(work: Path) -> None:
    # It calls functions of Python that newer versions warn of.
    with warnings.catch_warnings(action='ignore', category=DeprecationWarning):
        try:
            bagit.Bag(str(work)).validate()
        except bagit.BagError as err:
            raise OutputNotWritable(
                f"The bag that was just written cannot be read back whole ({err}). Nothing was sealed.",
                "Check the disk that it was written to, then seal again.",
            ) from err


def _copy_payload(packing: Packing, work: Path) -> tuple[dict[str, str], int]:
    """SHA-256 by path, and count of all bytes."""
    digests: dict[str, str] = {}
    n_total = 0
    for one in packing.files:
        target = work / one.place
        target.parent.mkdir(parents=True, exist_ok=True)
        digest, n_bytes = copy_hashed(one.source, target)
        _check_unchanged(one, digest)
        digests[one.place] = digest
        n_total += n_bytes
    return digests, n_total


def _check_unchanged(one: PackedFile, digest: str) -> None:
    if one.sha256 and digest != one.sha256:
        raise PhotoSetUnusable(
            f"{one.source}: the photo changed while it was being copied.",
            "Wait until no other program works on it, and seal again.",
        )


def _bag_info(identifier: str, oxum: str, when: datetime | None) -> str:
    date = [] if when is None else [('Bagging-Date', when.date().isoformat())]
    return tag_text(
        (
            ('Bag-Software-Agent', f'grader {__version__}'),
            *date,
            ('External-Description', BAG_DESCRIPTION),
            ('External-Identifier', identifier),
            ('Payload-Oxum', oxum),
        )
    )
