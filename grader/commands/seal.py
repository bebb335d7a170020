"""``grader seal``: examinations packed into sealed bags, each linked to the one before it."""

import json
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from grader.commands.options import Verbose, time_from
from grader.commands.seal_options import sealed_bag_at, usual_key
from grader.errors import SettingsInvalid
from grader.evidence.bag_write import write_bag
from grader.evidence.names import clash_key, portable_name
from grader.evidence.packing import Packing, plan_packing
from grader.evidence.seal_key import SealKey, grouped, key_from
from grader.evidence.seal_text import BagLink
from grader.evidence.wording import OTHER_KEY_WORDS, new_key_words
from grader.output import check_new_folder, new_folder

_USUAL_OUT = 'sealed'


def seal(
    folders: Annotated[
        list[Path],
        typer.Argument(
            metavar='FOLDER',
            help="Folders that \"grader examine --out\" or \"grader compare --out\" wrote, the earliest first.",
        ),
    ],
    out: Annotated[
        Path | None,
        typer.Option(
            '--out', metavar='DIR', help="Folder for the bags; without it \"sealed\" beside the first of the folders."
        ),
    ] = None,
    after: Annotated[
        Path | None,
        typer.Option('--after', metavar='BAG', help="The sealed bag before these, of the same piece."),
    ] = None,
    photos: Annotated[
        list[Path] | None,
        typer.Option('--photos', metavar='DIR', help="Folder with the original photos, if they lie elsewhere."),
    ] = None,
    key: Annotated[
        Path | None,
        typer.Option('--key', metavar='FILE', help="Key to sign with; it is made where there is none of this name."),
    ] = None,
    when: Annotated[
        str,
        typer.Option('--when', metavar='TIME', help="Date and time to state in the bag, such as 2026-03-10T10:09."),
    ] = '',
    as_json: Annotated[bool, typer.Option('--json', help="Print what was sealed as JSON.")] = False,
    verbose: Verbose = False,
) -> None:
    """Seal examinations, so that each later change is found.

    Copies record, pictures and original photos into a new bag (BagIt, RFC 8493), links it to the one before, and signs
    it. Nothing that exists is changed.
    """
    now = time_from(when)
    bags = _places(folders, folders[0].resolve().parent / _USUAL_OUT if out is None else out)
    before = None if after is None else sealed_bag_at(after)
    link = None if before is None else before.link
    packings = [plan_packing(folder, photos or ()) for folder in folders]
    key_path = usual_key() if key is None else key
    seal_key = key_from(key_path)
    links = []
    for packing, bag in zip(packings, bags, strict=True):
        link = _seal_one(packing, bag, seal_key, link, now)
        links.append(link)
        if not as_json:
            typer.echo(f"Sealed: {bag}\n  Signed manifest, SHA-256  {link.manifest_sha256}")
    if as_json:
        typer.echo(_as_json(bags, links, seal_key))
    else:
        typer.echo(f"  Key's fingerprint         {grouped(seal_key.fingerprint)}")
    if before is not None and before.fingerprint != seal_key.fingerprint:
        typer.echo(OTHER_KEY_WORDS, err=True)
    if seal_key.is_new:
        typer.echo(new_key_words(key_path), err=True)


def _places(folders: Sequence[Path], out: Path) -> list[Path]:
    """Folder of each bag; complains early where one cannot be."""
    # Names with a dot in front are what a stopped run left behind, and passed over in a check.
    bags = [out / portable_name(folder.resolve().name.lstrip('.')) for folder in folders]
    if len({clash_key(bag.name) for bag in bags}) < len(bags):
        raise SettingsInvalid(
            "Two of the folders have the same name.", "Seal them one by one, each with its own --out."
        )
    for folder, bag in zip(folders, bags, strict=True):
        if bag.resolve().is_relative_to(folder.resolve()):
            raise SettingsInvalid(
                f"--out: {out} lies in {folder}, which is to be sealed.", "Give a folder outside of it."
            )
        check_new_folder(bag)
    return bags


def _seal_one(packing: Packing, bag: Path, key: SealKey, previous: BagLink | None, now: datetime | None) -> BagLink:
    with new_folder(bag) as work:
        return write_bag(packing, work, key, previous, now)


def _as_json(bags: Sequence[Path], links: Sequence[BagLink], key: SealKey) -> str:
    sealed = [
        {
            'bag': str(bag),
            'fingerprint': key.fingerprint,
            'identifier': link.identifier,
            'manifest_sha256': link.manifest_sha256,
            'number': link.number,
        }
        for bag, link in zip(bags, links, strict=True)
    ]
    return json.dumps(sealed, sort_keys=True, indent=1, ensure_ascii=False)
