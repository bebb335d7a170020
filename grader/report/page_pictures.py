"""The pictures of a comparison's page as files, and what the page has to know of them."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Annotated, Literal

from PIL import Image
from pydantic import Field

from calib.arrays import RgbImage
from grader.compare.change import ChangeName
from grader.comparison_build import Compared
from grader.record_parts import FileKind, PointPx, Ratio, RecordPart, json_text, rounded
from grader.report.compare_constants import CLOSE_UP_PX, PAGE_JPEG_QUALITY
from grader.report.compare_details import DetailPair, detail_pairs
from grader.report.compare_viewer import CloseUp, Viewer, ViewerLine, make_close_ups, make_viewer

PICTURES_FOLDER = 'pictures'
PICTURES_FILE = 'pictures.json'

PictureName = Annotated[str, Field(pattern=r'^[a-z0-9-]{1,40}\.jpg$')]


class PageLine(RecordPart):
    """A change in the viewer."""

    number: int
    """That of the comparison."""
    change: ChangeName
    is_possible: bool
    """Whether it is less likely than not."""
    points: tuple[PointPx, ...]
    """Closed line in the pictures of the viewer."""


class PageViewer(RecordPart):
    """Two photos registered to one another, with the later one's 12 o'clock on top."""

    earlier: PictureName
    later: PictureName
    earlier_photo: str
    later_photo: str
    side_px: int = Field(gt=0)
    """Columns and rows of both."""
    piece_px: float = Field(gt=0)
    """Width of the circle round the piece, which is in the middle."""
    is_from_above: bool
    """Whether hours can be told; photos from the side stand upright instead."""
    gain: Annotated[float, rounded(4)]
    """By how much the earlier photo was made lighter."""
    lines: tuple[PageLine, ...]


class PageCloseUp(RecordPart):
    """One change as both sides show its place; absent where a side does not."""

    number: int
    earlier: PictureName | None = None
    later: PictureName | None = None
    earlier_photo: str
    later_photo: str


class PageDetail(RecordPart):
    """A detail of the design as both sides show it."""

    letter: str = Field(pattern='^[A-Z]$')
    is_alike: bool
    likeness: Ratio
    earlier: PictureName
    later: PictureName


class PagePictures(RecordPart):
    """All pictures of the page."""

    pictures_version: Literal[1] = 1
    comparison_sha256: str = Field(pattern='^[0-9a-f]{64}$')
    """Of the comparison's file: the pictures of another one must not stand beside it."""
    viewer: PageViewer
    close_ups: tuple[PageCloseUp, ...]
    details: tuple[PageDetail, ...]

    @property
    def names(self) -> frozenset[str]:
        """Names of all pictures."""
        pairs: tuple[PageViewer | PageCloseUp | PageDetail, ...] = (self.viewer, *self.close_ups, *self.details)
        return frozenset(name for one in pairs for name in (one.earlier, one.later) if name is not None)

    def to_json(self) -> str:
        """Text with sorted keys."""
        return json_text(self)


PICTURES_FILE_KIND = FileKind(
    model=PagePictures,
    name="list of pictures",
    version_field='pictures_version',
    version=1,
    as_written="\"grader compare\"",
    remedy="compare the photos again",
)


@dataclass(frozen=True, slots=True, eq=False)
class DrawnPictures:
    """The pictures, drawn."""

    facts: PagePictures
    jpegs: dict[str, bytes]
    """Each picture of the facts, by its name."""


def draw_pictures(compared: Compared) -> DrawnPictures:
    """Return all pictures that the page of a comparison shows."""
    viewer = make_viewer(compared)
    close_ups = make_close_ups(compared, viewer)
    details = detail_pairs(compared, viewer.pair, CLOSE_UP_PX)
    jpegs: dict[str, bytes] = {}
    facts = PagePictures(
        comparison_sha256=hashlib.sha256(compared.comparison.to_json().encode()).hexdigest(),
        viewer=_viewer(compared, viewer, jpegs),
        close_ups=tuple(_close_up(one, jpegs) for one in close_ups),
        details=_details(details, jpegs),
    )
    return DrawnPictures(facts, jpegs)


def jpeg_of(rgb: RgbImage) -> bytes:
    """Return a picture (H, W, 3) as JPEG; the same picture always gives the same bytes."""
    data = BytesIO()
    Image.fromarray(rgb).save(data, 'JPEG', quality=PAGE_JPEG_QUALITY)
    return data.getvalue()


def _viewer(compared: Compared, viewer: Viewer, jpegs: dict[str, bytes]) -> PageViewer:
    sides = (compared.comparison.before, compared.comparison.after)
    earlier, later = (side.photos[number] for side, number in zip(sides, viewer.pair, strict=True))
    return PageViewer(
        earlier=_put(jpegs, 'earlier.jpg', viewer.before),
        later=_put(jpegs, 'later.jpg', viewer.after),
        earlier_photo=earlier.photo.name,
        later_photo=later.photo.name,
        side_px=viewer.after.shape[0],
        piece_px=viewer.piece_px,
        is_from_above=later.is_from_above,
        gain=viewer.gain,
        lines=tuple(_line(one) for one in viewer.lines),
    )


def _line(one: ViewerLine) -> PageLine:
    shown = one.shown
    points = tuple((float(x), float(y)) for x, y in one.line)
    return PageLine(number=shown.number, change=shown.change, is_possible=shown.is_possible, points=points)


def _close_up(one: CloseUp, jpegs: dict[str, bytes]) -> PageCloseUp:
    number = one.facts.number
    return PageCloseUp(
        number=number,
        earlier=None if one.before is None else _put(jpegs, f'change-{number}-earlier.jpg', one.before),
        later=None if one.after is None else _put(jpegs, f'change-{number}-later.jpg', one.after),
        earlier_photo=one.before_photo,
        later_photo=one.after_photo,
    )


def _details(details: Sequence[DetailPair], jpegs: dict[str, bytes]) -> tuple[PageDetail, ...]:
    return tuple(
        PageDetail(
            letter=one.letter,
            is_alike=one.is_alike,
            likeness=one.likeness,
            earlier=_put(jpegs, f'detail-{one.letter.lower()}-earlier.jpg', one.before),
            later=_put(jpegs, f'detail-{one.letter.lower()}-later.jpg', one.after),
        )
        for one in details
    )


def _put(jpegs: dict[str, bytes], name: str, rgb: RgbImage) -> str:
    jpegs[name] = jpeg_of(rgb)
    return name
