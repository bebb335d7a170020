"""Parts that several reports share: cautions, files with their hashes, words for a time."""

from datetime import datetime

from grader.documents.blocks import Block, Column, Heading, NamedHash, Points, Table, Words
from grader.version import __version__

CAUTIONS = (
    "It states what the photos show, and how sure that is. It was made by a program and not by a person with the piece "
    "in hand; look at the glass itself before you rely on it.",
    "It is no appraisal and no valuation, and it does not say whether the piece is genuine or who made it.",
    "It does not say who or what caused a mark, nor when.",
    "Marks that are not listed may be there all the same: above all fine scratches and bruises, and whatever lies "
    "where the photos do not show the glass.",
    "It is no legal advice and no advice about insurance. Whether and how anything is paid, the contract decides.",
)
_DEFAULT_TIME = '%Y-%m-%d, %H:%M'


def cautions_part() -> tuple[Block, ...]:
    """Return what a report is and is not."""
    return Heading("What this report is, and what it is not"), Points(CAUTIONS)


def hashes_part(files: tuple[NamedHash, ...], photos: tuple[NamedHash, ...]) -> tuple[Block, ...]:
    """Return the appendix that ties the report to its files."""
    rows = tuple((one.name, _in_groups(one.sha256)) for one in (*files, *photos))
    return (
        Heading("Appendix: the files behind this report"),
        Words(
            "Each file has a fingerprint (SHA-256). Whoever has the file can make it again with common tools; if it is "
            "the same, so is the file, to the last bit.",
            'note',
        ),
        Table((Column("File", 0.28), Column("SHA-256", 0.72)), rows),
        Words(f"Made with grader {__version__}.", 'note'),
    )


def time_words(iso: str) -> str:
    """Return a time such as "2026-03-10, 10:09", with its zone where it has one; '' for none."""
    if not iso:
        return ""
    when = datetime.fromisoformat(iso)
    zone = when.strftime('%z')
    return when.strftime(_DEFAULT_TIME) + (f" (UTC{zone[:3]}:{zone[3:5]})" if zone else "")


def _in_groups(sha256: str) -> str:
    """A hash in groups of eight digits, which a person can compare."""
    return ' '.join(sha256[start : start + 8] for start in range(0, len(sha256), 8))
