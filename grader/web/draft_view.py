"""What the page of a draft says: of each photo, of the whole set, and of what is known beforehand."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from grader.checking import CheckedPhoto, CheckedView
from grader.quality.light import Light
from grader.quality.placing import Placing
from grader.quality.wanted_views import wanted_views
from grader.quality_facts import QualityFacts
from grader.report.check_table import detail_rows
from grader.web.draft import Draft, DraftPhoto
from grader.web.time_words import day_words

State = Literal['waiting', 'good', 'limits', 'again']

_STATE_OF_VERDICT: dict[str, State] = {'usable': 'good', 'usable with limits': 'limits', 'take it again': 'again'}
_BASE_VIEW = "the base"
NO_CARD_WORDS = "No card in the picture: no millimetres. Sizes will be told as shares of the piece's width."


@dataclass(frozen=True, slots=True)
class PhotoCard:
    """What is said of one photo."""

    key: str
    name: str
    state: State
    verdict: str
    """The word for it, with a capital."""
    sentence: str
    """What matters most: how to take it again, or what to know; '' where there is nothing."""
    smallest: str
    """The smallest marks that it can show, '' where that is not known."""
    what_it_is: str
    no_card: str
    """That there are no millimetres, '' where there are."""
    more: tuple[str, ...]
    """Further sentences."""
    rows: tuple[tuple[str, str], ...]
    """Numbers: a label, and words."""
    was_wiped: bool
    is_base: bool
    size_px: tuple[int, int]

    @property
    def version(self) -> str:
        """Changes with what is shown, so that a page need not draw anew what is the same."""
        return hashlib.sha256(repr(self).encode()).hexdigest()[:12]


def photo_card(photo: DraftPhoto) -> PhotoCard:
    """What is said of one photo."""
    check = photo.check
    if check is None:
        return _card(photo, 'waiting', "Being looked at")
    if check.quality is None:
        return _card(photo, 'again', "Take it again", sentence=f"{check.problem} {check.remedy}")
    return _judged(photo, check.quality)


def _judged(photo: DraftPhoto, quality: QualityFacts) -> PhotoCard:
    advice = quality.advice
    return _card(
        photo,
        _STATE_OF_VERDICT[quality.verdict],
        quality.verdict[:1].upper() + quality.verdict[1:],
        sentence=advice[0] if advice else '',
        smallest=quality.smallest_words,
        what_it_is=quality.view_words,
        no_card=NO_CARD_WORDS if quality.px_per_mm is None else '',
        more=(*advice[1:], *quality.doubts),
        rows=detail_rows(quality),
    )


def _card(
    photo: DraftPhoto,
    state: State,
    verdict: str,
    *,
    sentence: str = '',
    smallest: str = '',
    what_it_is: str = '',
    no_card: str = '',
    more: tuple[str, ...] = (),
    rows: tuple[tuple[str, str], ...] = (),
) -> PhotoCard:
    return PhotoCard(
        key=photo.key,
        name=photo.name,
        state=state,
        verdict=verdict,
        sentence=sentence,
        smallest=smallest,
        what_it_is=what_it_is,
        no_card=no_card,
        more=more,
        rows=rows,
        was_wiped=photo.was_wiped,
        is_base=photo.is_base,
        size_px=photo.size_px,
    )


def views_of(draft: Draft) -> tuple[CheckedView, ...]:
    """Views that the set should hold; what the owner says of the base counts. Empty without a judged photo."""
    judged = [photo for photo in draft.photos if photo.check is not None and photo.check.quality is not None]
    if not judged:
        return ()
    shown = [_shown(photo.check) for photo in judged if not photo.is_base and photo.check is not None]
    has_base = any(photo.is_base for photo in draft.photos)
    found = []
    for view in wanted_views([one for one in shown if one is not None]):
        if view.name == _BASE_VIEW and has_base:
            found.append(CheckedView(view=view.name, there='yes', advice=''))
        elif view.name == _BASE_VIEW:
            advice = "Tick \"shows the base\" at the photo that does, or turn the piece over and take one."
            found.append(CheckedView(view=view.name, there='not told', advice=advice))
        else:
            found.append(CheckedView(view=view.name, there=view.there, advice=view.advice))
    return tuple(found)


def _shown(check: CheckedPhoto) -> tuple[Placing, Light] | None:
    """What a photo shows, as the list of views asks for it."""
    quality = check.quality
    if quality is None:
        return None
    placing = Placing(quality.view, quality.px_per_mm, quality.tilt_deg, quality.turn_deg, quality.rim_ratio)
    return placing, Light(quality.light, quality.light_comes_low, quality.light_reason)


def summary_of(cards: Sequence[PhotoCard]) -> str:
    """How the photos stand, in one sentence."""
    if not cards:
        return "No photo yet."
    counts = {state: sum(card.state == state for card in cards) for state in ('good', 'limits', 'again', 'waiting')}
    words = {
        'good': "usable",
        'limits': "usable with limits",
        'again': "better taken again",
        'waiting': "being looked at",
    }
    told = ", ".join(f"{count} {words[state]}" for state, count in counts.items() if count)
    return f"{len(cards)} photo{'' if len(cards) == 1 else 's'}: {told}."


def camera_time_words(draft: Draft) -> str:
    """The cameras' earliest time as it is offered, '' where there is none."""
    return draft.camera_time[:16]


@dataclass(frozen=True, slots=True)
class DraftLine:
    """A draft in a list."""

    address: str
    words: str
    """How many photos, and since when they wait."""


def draft_lines(drafts: Sequence[Draft]) -> tuple[DraftLine, ...]:
    """Drafts as they are listed."""
    return tuple(DraftLine(one.address, _line_words(one)) for one in drafts)


def _line_words(draft: Draft) -> str:
    count = "1 photo" if len(draft.photos) == 1 else f"{len(draft.photos)} photos"
    return f"{count}, begun on {day_words(draft.begun_at)} at {draft.begun_at[11:16]}"
