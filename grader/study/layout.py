"""Which photo, or record, is of which piece and by which set-up: told by folders, or by a table."""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from grader.collection.csv_form import table_delimiter, table_rows, unguarded
from grader.errors import ImportFaulty, PhotoSetUnusable
from grader.photos.load import PHOTO_SUFFIXES

RECORD_SUFFIX = '.json'
_MARKED_SUFFIX = '.marked.jpg'
_COLUMNS = ('photo', 'piece', 'setup')
_HOW = (
    "Make a folder for each piece, with its photos in it, or in folders PIECE/SETUP where several people or cameras "
    "took them; or give a CSV file with the columns photo, piece and setup."
)


@dataclass(frozen=True, slots=True)
class Shot:
    """A photo, or a record that stands for its photos."""

    path: Path
    piece: str
    setup: str
    """Who or what took it; '' where there is but one."""

    @property
    def is_record(self) -> bool:
        """Whether it is a record, which need not be examined."""
        return self.path.suffix.lower() == RECORD_SUFFIX


def read_layout(place: Path) -> tuple[Shot, ...]:
    """Photos and records of a study, by piece, set-up and name.

    Raises
    ------
    PhotoSetUnusable
        If there is no such folder, or nothing of use in it, or something lies where it cannot be told of which piece it
        is.
    ImportFaulty
        If it is a table with faults, all of which are listed by line.
    """
    if place.is_dir():
        shots = _of_folder(place)
    elif place.suffix.lower() == '.csv' and place.is_file():
        shots = _of_table(place)
    else:
        raise PhotoSetUnusable(f"{place}: there is no such folder, and no CSV file of this name.", _HOW)
    if not shots:
        raise PhotoSetUnusable(
            f"{place}: there is no photo and no record in the folders of it; files ending in "
            f"{', '.join(PHOTO_SUFFIXES)} are taken for photos, and those ending in {RECORD_SUFFIX} for records.",
            _HOW,
        )
    return tuple(sorted(shots, key=lambda shot: (shot.piece, shot.setup, shot.path.name, str(shot.path))))


def _of_folder(root: Path) -> list[Shot]:
    loose = _files_in(root)
    if loose:
        raise PhotoSetUnusable(f"{loose[0].name}: it lies in {root} itself, so its piece is not known.", _HOW)
    shots: list[Shot] = []
    for piece in _folders_in(root):
        shots += [Shot(path, piece.name, '') for path in _files_in(piece)]
        for setup in _folders_in(piece):
            shots += [Shot(path, piece.name, setup.name) for path in _files_in(setup)]
            deep = [path for folder in _folders_in(setup) for path in _files_in(folder)]
            if deep:
                raise PhotoSetUnusable(
                    f"{deep[0].relative_to(root)}: it lies one folder too deep; folders PIECE/SETUP are needed.", _HOW
                )
    return shots


def _folders_in(folder: Path) -> list[Path]:
    return sorted(path for path in folder.iterdir() if path.is_dir() and not path.name.startswith('.'))


def _files_in(folder: Path) -> list[Path]:
    """Photos and records; annotated pictures that the program made are passed over."""
    wanted = (*PHOTO_SUFFIXES, RECORD_SUFFIX)
    return sorted(
        path
        for path in folder.iterdir()
        if path.suffix.lower() in wanted
        and not path.name.lower().endswith(_MARKED_SUFFIX)
        and not path.name.startswith('.')
        and path.is_file()
    )


def _of_table(path: Path) -> list[Shot]:
    faults: list[tuple[int, str]] = []
    try:
        text = path.read_text(encoding='utf-8-sig')
    except (OSError, UnicodeDecodeError) as err:
        words = "it is not UTF-8 text" if isinstance(err, UnicodeDecodeError) else err.strerror or str(err)
        raise ImportFaulty(f"{path.name}: the table cannot be read ({words}).", "Save it as CSV in UTF-8.") from err
    reader = csv.reader(io.StringIO(text, newline=''), delimiter=table_delimiter(text), strict=True)
    rows = table_rows(reader, faults)
    _, header = next(rows, (1, []))
    columns = [name.strip().casefold() for name in header]
    faults += _faults_of_header(columns)
    shots: list[Shot] = []
    if not faults:
        for line, cells in rows:
            shot = _shot_of(path.parent, dict(zip(columns, cells, strict=False)), shots)
            if len(cells) != len(columns):
                faults.append((line, f"there are {len(cells)} cells, and the header has {len(columns)} columns"))
            elif isinstance(shot, str):
                faults.append((line, shot))
            else:
                shots.append(shot)
    if faults:
        listed = '\n'.join(f"- line {line}: {words}." for line, words in sorted(faults))
        raise ImportFaulty(f"{path.name}: {len(faults)} fault(s), and nothing was examined:\n{listed}\n", "Mend them.")
    return shots


def _faults_of_header(columns: Sequence[str]) -> list[tuple[int, str]]:
    faults = [(1, f"the column \"{name}\" is not known") for name in columns if name not in _COLUMNS]
    faults += [(1, f"the column \"{name}\" is there twice") for name in set(columns) if columns.count(name) > 1]
    missing = [name for name in ('photo', 'piece') if name not in columns]
    if missing:
        faults.append(
            (1, f"the header must name the columns photo and piece, and setup where there are several; "
                f"{' and '.join(missing)} is missing")
        )  # fmt: skip
    return faults


def _shot_of(folder: Path, cells: dict[str, str], before: Sequence[Shot]) -> Shot | str:
    """Photo or record of a line, or what is wrong with it."""
    photo, piece, setup = (unguarded(cells.get(name, '')).strip() for name in _COLUMNS)
    if not photo or not piece:
        return "photo and piece are needed, and one of them is empty"
    path = folder / photo
    if path.suffix.lower() not in (*PHOTO_SUFFIXES, RECORD_SUFFIX):
        return f"{photo} is neither a photo nor a record by the end of its name"
    if not path.is_file():
        return f"there is no file {photo} in the folder of the table"
    if path.resolve() in {shot.path.resolve() for shot in before}:
        return f"{photo} is there twice"
    return Shot(path, piece, setup)
