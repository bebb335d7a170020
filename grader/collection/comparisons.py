"""Comparisons in a piece's folder: one folder each, counted from 0001."""

from dataclasses import dataclass
from pathlib import Path

from grader.collection.numbered import numbered_folders

COMPARISONS_FOLDER = 'comparisons'
COMPARISON_FILE_NAME = 'comparison.json'


@dataclass(frozen=True, slots=True)
class StoredComparison:
    """One comparison of a piece."""

    number: int
    """Counted from 1 in the order in which they were stored."""
    folder: Path

    @property
    def file(self) -> Path:
        """The comparison itself, which need not be there in a folder that was made by hand."""
        return self.folder / COMPARISON_FILE_NAME


def comparisons_of(piece_folder: Path) -> tuple[StoredComparison, ...]:
    """Comparisons of a piece, in the order in which they were stored; none is an empty tuple."""
    found = numbered_folders(piece_folder / COMPARISONS_FOLDER)
    return tuple(StoredComparison(one.number, one.folder) for one in found)
