"""What changed between two sides: each mark is new, grown, unchanged, gone, or could not be seen."""

import logging
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from grader.compare.change import LEAST_NEW, Change, ChangeName, OtherLook, PlaceInPhoto
from grader.compare.constants import LEAST_MARK, LEAST_PARTNER, LEAST_VISIBLE, NOT_SURE, TURN_PLACED
from grader.compare.could_show import judge_other_look
from grader.compare.crop_light import CropLight, light_of_crop
from grader.compare.grown import what_grew
from grader.compare.place_look import PlaceLook, look_at_place
from grader.compare.sides import Alignment, Side, Sides
from grader.compare.weigh_change import chance_new, chance_seen, is_seen_in
from grader.marks.mark import Mark, MarkKind
from grader.sets.find_turns import PhotoTurn
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
    photos, turns = (*sides.after, *sides.before), (*alignment.after, *(_placed(turn) for turn in alignment.before))
    crops = [light_of_crop(photo, turn) for photo, turn in zip(photos, turns, strict=True)]
    tracks = join_marks(see_marks(photos, turns), photos, turns)
    n_after = len(sides.after)
    changes = [_judge(track, crops, n_after) for track in tracks if track.surest.mark.confidence >= LEAST_MARK]
    logger.info('%s: %d marks compared', photos[0].name, len(changes))
    return tuple(
        sorted(changes, key=lambda one: (ORDER.index(one.change), -one.confidence, one.best.side, one.mark.centre_px))
    )


def _placed(turn: PhotoTurn) -> PhotoTurn:
    """The turn of an earlier photo, not sure if it is less so than a claim of new damage needs: with a wrong turn all
    marks look new.
    """
    return turn if turn.probability >= TURN_PLACED else replace(turn, probability=min(turn.probability, NOT_SURE))


def _judge(track: Track, crops: Sequence[CropLight], n_after: int) -> Change:
    """What became of one mark: that of the later side, or of the earlier one where only that shows it."""
    later = tuple(one for one in track.sightings if one.photo < n_after)
    own = later or track.sightings
    others = range(n_after, len(crops)) if later else range(n_after)
    partners = tuple(one for one in track.sightings if one.photo in others and one.mark.confidence >= LEAST_PARTNER)
    surest = own[0]
    light = crops[surest.photo].photo.findings.quality.light.kind
    is_related = crops[surest.photo].turn.is_sure
    looks = [_look(surest, partners, crops, k) for k in others] if is_related else []
    kinds = _kinds_of(own)
    seen_photo = _seen_photo(partners, looks)
    other = judge_other_look(looks, n_after if later else 0, surest.mark, light, seen_photo)
    if seen_photo is not None:
        change, confidence = _on_both(track, partners, looks)
    elif later:
        change, confidence = _only_later(surest, other, chance_new(surest.mark.confidence, kinds, looks, light))
    else:
        change, confidence = _only_earlier(surest, other, looks, kinds)
    grown_words = what_grew(own, partners, crops) if later and change == 'unchanged' else ''
    best = max(own, key=lambda one: (one.mark.confidence * (one.mark.facing or 0.0), -one.photo))
    return Change(
        change='grown' if grown_words else change,
        confidence=round(confidence, 4),
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


def _on_both(track: Track, partners: Sequence[Sighting], looks: Sequence[PlaceLook]) -> tuple[ChangeName, float]:
    """A mark that both sides show: as sure as the surest photo has it, or as the second look."""
    sure = track.surest.mark.confidence
    return 'unchanged', sure if partners else sure * max(chance_seen(look) for look in looks)


def _only_later(surest: Sighting, other: OtherLook, new: float) -> tuple[ChangeName, float]:
    """A mark that only the later side shows. Where it is open whether it would have shown before, it is called new only
    if that is more likely than not.
    """
    if other.verdict == 'could not be seen' or (other.verdict == 'open' and new < LEAST_NEW):
        return 'not visible then', surest.mark.confidence
    return 'new', new


def _only_earlier(
    surest: Sighting, other: OtherLook, looks: Sequence[PlaceLook], kinds: KindOdds
) -> tuple[ChangeName, float]:
    """A mark that only the earlier side shows: dust is gone where its place is clean, other marks only where they would
    show now.
    """
    is_dust = dict(kinds).get(MarkKind.DUST, 0.0) >= LEAST_NEW
    clean = [1 - chance_seen(look) for look in looks if look.is_placed and look.visible >= LEAST_VISIBLE]
    if other.verdict == 'would have been seen' or (other.verdict == 'open' and is_dust and clean):
        return 'gone', surest.mark.confidence * min(clean, default=0.0)
    return 'not visible now', surest.mark.confidence


def _seen_photo(partners: Sequence[Sighting], looks: Sequence[PlaceLook]) -> int | None:
    """Number of the photo of the other side that shows the mark best, by its own list or at a second look; None where
    none does.
    """
    known = {look.photo for look in looks}
    of_partners = [one.photo for one in partners if one.photo in known]
    if of_partners:
        return of_partners[0]
    seen = [look for look in looks if is_seen_in(look)]
    return max(seen, key=lambda look: (look.log_odds, -look.photo)).photo if seen else None


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
