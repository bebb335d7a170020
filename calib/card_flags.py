"""Every doubt that a card's fit can carry, in one table, with the words for the owner."""

CARD_BENT = 'card-bent'
CARD_CUT_OFF = 'card-cut-off'
MARKERS_IN_GLASS = 'markers-in-glass'
FOCAL_UNSURE = 'focal-length-unsure'
FOCAL_DISAGREES = 'focal-length-disagrees'
OFF_CENTRE = 'picture-cropped'

CARD_FLAGS: dict[str, tuple[str, str]] = {
    CARD_BENT: (
        "card not flat",
        "The card is slightly bent. Lay it on a flat board, or glue it to one, and take the photo again.",
    ),
    CARD_CUT_OFF: (
        "card cut off",
        "The picture does not show the whole card, so lengths rest on fewer markers.",
    ),
    MARKERS_IN_GLASS: (
        "card seen in the glass",
        "Markers of the card are also seen in the glass. They were left out of the measurement.",
    ),
    FOCAL_UNSURE: (
        "focal length unsure",
        "The photo does not say with which lens it was taken, and the card is seen too squarely to tell. The camera's"
        " distance is unsure, which widens the uncertainty of sizes. Use the photo as the camera saved it, or a camera"
        " profile.",
    ),
    FOCAL_DISAGREES: (
        "focal length does not fit the card",
        "The focal length that the photo or the profile gives does not fit what the card shows, as after cropping or"
        " zooming. It was taken from the card instead.",
    ),
    OFF_CENTRE: (
        "picture cropped",
        "The lens's axis does not meet the middle of the picture, as after cropping. That was taken into account. Use"
        " the photo as the camera saved it for surer sizes.",
    ),
}
"""Name -> (a few words for a table, one or two sentences)."""
