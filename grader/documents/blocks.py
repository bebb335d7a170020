"""What a document is made of, free of paper and screen: PDF and HTML are drawn from the same blocks."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture, ready to be put on a page."""

    jpeg: bytes
    """Bytes of a JPEG file."""
    width_px: int
    height_px: int
    words: str
    """What it shows, for those who do not see it."""


@dataclass(frozen=True, slots=True)
class Heading:
    """Heading of a part."""

    words: str
    level: Literal[1, 2] = 1


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph."""

    words: str
    tone: Literal['plain', 'lead', 'note'] = 'plain'


@dataclass(frozen=True, slots=True)
class Points:
    """Sentences in a list."""

    sentences: tuple[str, ...]
    sign: Literal['dot', 'box'] = 'dot'
    """'box' is to be ticked off."""


@dataclass(frozen=True, slots=True)
class Facts:
    """Labels, each with what is known under it."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Lead:
    """The top of a report: a picture beside the most important facts."""

    picture: Picture
    headline: str
    facts: Facts


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table."""

    heading: str
    share: float
    """Of the table's width; the shares of all columns sum to 1."""
    is_number: bool = False
    """Numbers stand to the right."""


Cell = str | Picture


@dataclass(frozen=True, slots=True)
class Table:
    """A table."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    n_sum_rows: int = 0
    """So many of the last rows are sums."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A large picture."""

    picture: Picture
    caption: str
    width_ratio: float = 1.0
    """Largest width, as a share of the text's width."""
    height_ratio: float = 0.8
    """Largest height, as a share of the text's height."""


@dataclass(frozen=True, slots=True)
class Card:
    """One or more small pictures with a title and lines of text."""

    pictures: tuple[Picture, ...]
    """Side by side."""
    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Cards:
    """Cards, some beside each other."""

    cards: tuple[Card, ...]
    n_columns: int


@dataclass(frozen=True, slots=True)
class SignLines:
    """Lines to write on by hand."""

    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NewPage:
    """What follows begins on a new page."""


Block = Heading | Words | Points | Facts | Lead | Table | Figure | Cards | SignLines | NewPage


@dataclass(frozen=True, slots=True)
class NamedHash:
    """SHA-256 of a file that the document rests on."""

    name: str
    sha256: str


@dataclass(frozen=True, slots=True)
class Document:
    """A whole report."""

    kind: str
    """What it is, such as "Condition report"."""
    prefix: str
    """Two letters before its number."""
    title: str
    """What it is about."""
    subtitle: str
    made_at: str
    """Time that the user gave, in words; '' where there is none."""
    source: NamedHash
    """The file that it was made from; it is named on each page."""
    blocks: tuple[Block, ...]
