"""Words of the reports that are made from a comparison: for a carrier or insurer, and for a purchase."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class HandoverWords:
    """How a comparison is told."""

    kind: str
    prefix: str
    sides: tuple[str, str]
    """What the earlier and the later side are called."""
    opening: str
    """What the two sides are, in a sentence."""
    same_heading: str
    sizes_heading: str
    steps_heading: str
    steps: tuple[str, ...]
    terms: str
    """To whom the steps defer."""


BEFORE_AFTER = HandoverWords(
    kind="Before and after",
    prefix='BA',
    sides=("Before", "After"),
    opening="Photos of a piece from before a journey, called \"earlier\" here, are compared with photos from after it, "
    "called \"later\".",
    same_heading="Is it the same piece?",
    sizes_heading="Stated sizes",
    steps_heading="Usual steps after a journey",
    steps=(
        "Note date and time of arrival, and who took the parcel in. If the parcel itself looks damaged, have it noted "
        "on delivery where that is possible.",
        "Photograph the packaging before anything is moved: all sides, labels, dents, the padding, and how "
        "the piece lay.",
        "Keep all of it: box, padding, labels, splinters; somebody may want to see it.",
        "Photograph the piece as it came, in the same light and on the same card as before, with close-ups of "
        "each mark.",
        "Report to the carrier within the time limit of its terms, and to the insurer within that of the policy. These "
        "limits differ, and some are short.",
        "Ask what else is wanted: the invoice, proof of value, this report with its files.",
        "Do not clean, repair or polish the piece first, nor send it back, before they have agreed.",
        "Write down each call and each letter, with date and name.",
    ),
    terms="These are common steps in general words. What has to be done, by when and by whom, the terms of the carrier "
    "and of the insurer say, and what they say goes before this list.",
)

PURCHASE = HandoverWords(
    kind="Listing and arrival",
    prefix='LA',
    sides=("Listing", "Arrival"),
    opening="The photos of a listing, called \"earlier\" here, are compared with photos of the piece that arrived, "
    "called \"later\".",
    same_heading="Is it the piece of the listing?",
    sizes_heading="Stated size and measured size",
    steps_heading="Usual steps after a purchase",
    steps=(
        "Keep the listing as it was: its text, all its photos at full size, its number, and the seller's messages.",
        "Note date and time of arrival; photograph and keep the packaging.",
        "Photograph the piece as it came, on the card, before it is cleaned.",
        "Look with your own eyes at each place that this report names, and at those that the listing did not show.",
        "Tell the seller in plain words what differs, with the pictures, and ask; most have a plain reason.",
        "If a marketplace or a payment service is part of the sale, follow its own way and its time limits.",
        "Do not clean, repair or polish the piece before that is settled.",
    ),
    terms="These are common steps in general words. What the seller has to answer for, and by when to complain, the "
    "terms of the sale and of the marketplace say, and what they say goes before this list.",
)
