"""What changed between two sides: each mark is new, grown, unchanged, gone, or could not be seen."""

import logging
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from grader.compare.change import Change, ChangeName, OtherLook, PlaceInPhoto
from grader.compare.constants import LEAST_MARK, PRESENT
from grader.compare.could_show import judge_other_look
from grader.compare.crop_light import CropLight, light_of_crop
from grader.compare.grown import what_grew
from grader.compare.place_look import PlaceLook, look_at_place
from grader.compare.sides import Alignment, Side, Sides
from grader.compare.weigh_change import ChangeOdds, weigh_change
from grader.marks.mark import Mark, MarkKind
from grader.sets.join import Track, join_marks
from grader.sets.layer import KindOdds
from grader.sets.sightings import Sighting, see_marks

logger = logging.getLogger(__name__)

ORDER: tuple[ChangeName, ...] = ('new', 'grown', 'not visible then', 'unchanged', 'gone', 'not visible now')


def find_changes(sides: Sides, alignment: Alignment) -> tuple[Change, ...]:
    """What became of each mark of either side, new ones first, then by sureness.

    1. Marks of all photos are joined on the piece, as in a set.
    2. For a mark of one side each photo of the other side is looked at in its place: what does the network say there,
       how much of the mark's own light is there, could the photo have shown it at all?
    3. From that follows how probable it is that the mark is new, and the word for it.

    Parameters
    ----------
    sides : Sides
        Photos of both sides, of one piece.
    alignment : Alignment
        How the piece stands in each photo.
    """
    photos, turns = (*sides.after, *sides.before), (*alignment.after, *alignment.before)
    crops = [light_of_crop(photo, turn) for photo, turn in zip(photos, turns, strict=True)]
    tracks = join_marks(see_marks(photos, turns), photos, turns)
    n_after = len(sides.after)
    changes = [_judge(track, crops, n_after) for track in tracks if track.surest.mark.confidence >= LEAST_MARK]
    logger.info('%s: %d marks compared', photos[0].name, len(changes))
    return tuple(
        sorted(changes, key=lambda one: (ORDER.index(one.change), -one.confidence, one.best.side, one.mark.centre_px))
    )


def _judge(track: Track, crops: Sequence[CropLight], n_after: int) -> Change:
    """What became of one mark: that of the later side, or of the earlier one where only that shows it."""
    later = tuple(one for one in track.sightings if one.photo < n_after)
    own = later or track.sightings
    others = range(n_after, len(crops)) if later else range(n_after)
    partners = tuple(one for one in track.sightings if one.photo in others)
    surest = own[0]
    light = crops[surest.photo].photo.findings.quality.light.kind
    is_related = crops[surest.photo].turn.is_sure
    looks = [_look(surest, partners, crops, k) for k in others] if is_related else []
    kinds = _kinds_of(own)
    odds = weigh_change(surest.mark.confidence, kinds, looks, light)
    is_seen = bool(partners) or (
        odds.on_both_if_mark >= PRESENT and any(look.is_placed and look.log_odds > 0 for look in looks)
    )
    seen_photo = _seen_photo(partners, looks) if is_seen else None
    first = n_after if later else 0
    other = judge_other_look(looks, first, surest.mark, light, is_seen, seen_photo)
    change, confidence = _named(bool(later), is_seen, bool(partners), odds, other, kinds)
    grown_words = what_grew(own, partners, crops) if later and change == 'unchanged' else ''
    if grown_words:
        change = 'grown'
    best = max(own, key=lambda one: (one.mark.confidence * (one.mark.facing or 0.0), -one.photo))
    return Change(
        change=change,
        confidence=round(min(max(confidence, 0.0), 1.0), 4),
        mark=_merged(best.mark, _kinds_if_new(kinds) if change == 'new' else _kinds_of(track.sightings), surest),
        best=_place(best, n_after),
        other_look=other,
        seen_in=tuple(_place(one, n_after) for one in sorted(track.sightings, key=lambda one: (one.photo, one.number))),
        grown_words=grown_words,
    )


def _look(surest: Sighting, partners: Sequence[Sighting], crops: Sequence[CropLight], k: int) -> PlaceLook:
    look = look_at_place(surest, crops[surest.photo], crops[k], k)
    partner = next((one for one in partners if one.photo == k), None)
    if partner is None:
        return look
    # The photo's own finding lies where it is seen, which for a mark inside is not its place on the surface.
    peak = float(crops[k].photo.peak_at(np.array([partner.mark.centre_px]))[0])
    return replace(look, centre_px=partner.mark.centre_px, log_odds=max(look.log_odds, peak))


def _named(
    is_later: bool, is_seen: bool, has_partner: bool, odds: ChangeOdds, other: OtherLook, kinds: KindOdds
) -> tuple[ChangeName, float]:
    """The word for what became of a mark, and how sure that is."""
    is_mark = 1 - odds.no_mark
    if is_seen:
        return 'unchanged', is_mark if has_partner else odds.on_both
    absent = 1 - odds.on_both_if_mark
    could_not = other.verdict == 'could not be seen'
    if is_later:
        if could_not or (other.verdict == 'open' and odds.only_here < PRESENT):
            return 'not visible then', is_mark
        return 'new', odds.only_here
    dust = dict(kinds).get(MarkKind.DUST, 0.0)
    if could_not or (other.verdict == 'open' and absent < PRESENT and dust < PRESENT):
        return 'not visible now', is_mark
    return 'gone', is_mark * absent


def _seen_photo(partners: Sequence[Sighting], looks: Sequence[PlaceLook]) -> int | None:
    """Number of the photo of the other side that shows the mark best; None where none is related."""
    known = {look.photo for look in looks}
    of_partners = [one.photo for one in partners if one.photo in known]
    if of_partners:
        return of_partners[0]
    return max(looks, key=lambda look: (look.log_odds, -look.photo)).photo if looks else None


def _kinds_of(sightings: Sequence[Sighting]) -> KindOdds:
    """Mean odds of each kind over the sightings, each by its sureness."""
    total = sum(one.mark.confidence for one in sightings)
    return tuple(
        (kind, sum(one.mark.confidence * one.mark.odds_of(kind) for one in sightings) / total) for kind in MarkKind
    )


def _kinds_if_new(kinds: KindOdds) -> KindOdds:
    """Odds of each kind of a mark that arose between the sides: no bubble arises, what looks like one is a crack."""
    odds = dict(kinds)
    odds[MarkKind.BRUISE] = odds.get(MarkKind.BRUISE, 0.0) + odds.pop(MarkKind.BUBBLE, 0.0)
    return tuple((kind, odds.get(kind, 0.0)) for kind in MarkKind)


def _merged(best: Mark, kinds: KindOdds, surest: Sighting) -> Mark:
    """The best view of a mark with the kinds of all its views."""
    return replace(
        best,
        kind=max(kinds, key=lambda one: one[1])[0],
        confidence=surest.mark.confidence,
        kind_odds=tuple((kind, round(odds, 4)) for kind, odds in kinds),
    )


def _place(one: Sighting, n_after: int) -> PlaceInPhoto:
    side: Side = 'after' if one.photo < n_after else 'before'
    return PlaceInPhoto(side, one.photo if one.photo < n_after else one.photo - n_after, one.mark.outline_px)
