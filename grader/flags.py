"""Every reason to doubt a number, in one table, with the words that the owner reads.

A stage passes on the *names* of its flags; record, table and reports take the words from here.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from calib.card_flags import CARD_FLAGS


@dataclass(frozen=True, slots=True)
class Flag:
    """One reason for doubt."""

    name: str
    """Short name, as stages and records give it."""
    short: str
    """A few words for a table."""
    long: str
    """One or two sentences: what it means and what would help."""


_TABLE = (
    # Photo
    Flag(
        'colour-profile-ignored',
        "colour profile not used",
        "The colour profile stored in the photo is damaged or does not fit, so its colours were taken as sRGB. "
        "Sizes are not affected.",
    ),
    Flag(
        'transparency-filled',
        "transparent parts made white",
        "The picture has transparent parts, as after cutting out its ground. They were filled with white.",
    ),
    Flag(
        'first-picture-only',
        "first of several pictures",
        "The file holds several pictures; only the first was examined.",
    ),
    Flag(
        'focus-not-told',
        "focus could not be told",
        "No edge in the picture was clear enough to tell how sharp it is. Put the printed card under the piece.",
    ),
    Flag(
        'camera-moved',
        "camera moved",
        "The picture is smeared in one direction, so fine scratches along it are lost. Lean the phone on something.",
    ),
    Flag(
        'soft-focus',
        "soft picture",
        "Edges in the picture are soft, so fine scratches and small chips do not show, whatever the score says. "
        "Tap on the glass to focus, and hold still.",
    ),
    Flag(
        'too-dark',
        "too dark",
        "The picture is too dark to show marks well. Use more light.",
    ),
    Flag(
        'dark-parts',
        "dark parts of the piece",
        "A good part of the piece is nearly black in the picture, and marks do not show there. Use light from several "
        "sides.",
    ),
    Flag(
        'over-exposed',
        "parts pure white",
        "A good part of the piece is pure white in the picture, and marks do not show there. Use less light.",
    ),
    Flag(
        'paper-over-exposed',
        "paper pure white",
        "The card's paper is pure white in the picture. Marks are not affected; less light would measure surer.",
    ),
    Flag(
        'low-light',
        "lit from low down",
        "The light comes from low down: marks on the surface glow, but the design and what lies inside hardly show. "
        "Take a photo with light from above as well.",
    ),
    Flag(
        'much-glare',
        "mirrored lamps cover much",
        "Mirror images of lamps or windows cover a good part of the piece. Move the lamps or shade the window.",
    ),
    Flag(
        'grainy',
        "grainy picture",
        "The picture is grainy, which hides fine marks. Use more light, so that the camera needs no high ISO.",
    ),
    Flag(
        'low-resolution',
        "few pixels a millimetre",
        "A millimetre of the piece has few pixels, so fine scratches do not show. Go nearer, or use the picture as the "
        "camera made it.",
    ),
    Flag(
        'camera-slanted',
        "camera leans",
        "The camera leans so much that the far side of the piece is hardly seen. Look straight down, or from the side "
        "on purpose.",
    ),
    Flag(
        'rim-cut-off',
        "rim not all in the picture",
        "Part of the piece's rim is not in the picture. Step back or move the piece to the middle.",
    ),
    Flag(
        'marks-hidden',
        "usual marks would not show",
        "Not even the plainest parts of the piece would show scratches and chips of usual size and contrast, because "
        "of its design or the picture's grain. Take another with other light, and close-ups.",
    ),
    Flag(
        'busy-design',
        "busy design",
        "The design is so busy that scratches of usual contrast show only on its plain parts. Take one with a low lamp "
        "beside the piece, and close-ups.",
    ),
    Flag(
        'size-differs-from-exif',
        "cropped or scaled since it was taken",
        "The picture's size is not the one that the camera noted, so it was cropped or scaled later. "
        "Use the file as it came from the camera.",
    ),
    # Card
    Flag(
        'no-card',
        "no card, no millimetres",
        "No calibration card was found, so sizes are given in pixels and as a share of the piece's width. "
        "Photograph the piece on the printed card for millimetres.",
    ),
    *(Flag(name, short, long) for name, (short, long) in CARD_FLAGS.items()),
    # Outline
    Flag(
        'outline-weak',
        "outline unsure in places",
        "In places the glass can hardly be told from its ground, so outline and width are less sure there. "
        "Use a plain ground that is clearly lighter or darker than the glass.",
    ),
    Flag(
        'piece-small-in-photo',
        "piece small in the picture",
        "The piece covers few pixels, so fine scratches and small chips cannot be seen, whatever the score says. "
        "Use a larger picture, or go nearer.",
    ),
    Flag(
        'outline-cut-off',
        "piece cut off",
        "The picture does not show the whole piece. Step back or move it to the middle, and take it again.",
    ),
    # Several photos
    Flag(
        'photo-not-related',
        "photo not related to the others",
        "How the piece was turned between two photos cannot be told, so the marks of one stand by themselves and may "
        "be counted twice. Leave the piece as it stands on the card from photo to photo, or turn the card with it.",
    ),
    Flag(
        'sides-disagree',
        "side photos disagree",
        "The photos from the side do not show one and the same outline, so height and width are less sure. Take them "
        "again with a plain, evenly lit table behind the piece, and check that all show the same piece.",
    ),
    # Two sides
    Flag(
        'same-photo-on-both-sides',
        "one photo on both sides",
        "The same photo file was given as an earlier and as a later one, so nothing can have changed between them. "
        "Give a photo that was taken later.",
    ),
    Flag(
        'photo-not-placed',
        "photo not placed on the piece",
        "How the piece stands in one of the photos cannot be told surely, so marks are not compared there. "
        "Photograph the whole piece from above, in light that shows its design.",
    ),
)

FLAGS: dict[str, Flag] = {flag.name: flag for flag in _TABLE}


def describe_flags(names: Iterable[str]) -> tuple[Flag, ...]:
    """Flags of these names, in the order of the table and each once.

    Raises
    ------
    ValueError
        If a name is not in the table: a stage made one up.
    """
    wanted = set(names)
    unknown = sorted(wanted - FLAGS.keys())
    if unknown:
        raise ValueError(f'flags without an entry in the table: {", ".join(unknown)}')
    return tuple(flag for flag in _TABLE if flag.name in wanted)
