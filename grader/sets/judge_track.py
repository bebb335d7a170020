"""One mark from all its sightings: how sure it is, of which kind, whether it is dust, on the glass or in it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from calib.arrays import FloatArray, PointsPx
from grader.marks.mark import BASE_ZONE, Mark, MarkKind
from grader.marks.zones import zone_of
from grader.sets.constants import (
    DUST_AFTER_WIPING,
    DUST_STAYS,
    LEAST_ODDS,
    OTHER_MARK_LOG_ODDS,
    PARALLAX_VISIBLE,
)
from grader.sets.find_turns import PhotoTurn
from grader.sets.join import Track
from grader.sets.layer import KindOdds, LayerJudgement, judge_layer, kinds_given_parallax, parallax_of
from grader.sets.look_again import outline_near
from grader.sets.looks import look_ratios
from grader.sets.pair_turn import is_same_light
from grader.sets.places import clock_of, latitude_deg
from grader.sets.set_photo import SetPhoto, reach_px
from grader.sets.sightings import Sighting, reach_of, to_photo

BY_WIPING = "photos before and after wiping"
BY_ABSENCE = "missing in other photos that show its place"
BY_LOOK = "look of the mark"


@dataclass(frozen=True, slots=True, eq=False)
class SeenIn:
    """Where one photo shows a mark."""

    photo: int
    """Number of the photo, from 0."""
    outline_px: PointsPx
    """Closed outline (N, 2)."""
    own: Mark | None
    """The mark as that photo by itself has it; None where only a second look found it."""
    number: int | None
    """Its number among that photo's own marks, from 1; None likewise."""


@dataclass(frozen=True, slots=True, eq=False)
class SetMark:
    """A mark of the piece, judged from all photos."""

    mark: Mark
    """Sizes as in its best photo; sureness, kinds and place as all photos together tell them."""
    best_photo: int
    """Number of the photo whose outline and sizes `mark` has."""
    layer: LayerJudgement
    """On the glass or in it."""
    dust_odds: float
    """Probability, 0 to 1, that it is dust, given that it is there at all."""
    dust_basis: str
    """What tells that, in words."""
    latitude_deg: float
    """Height on the dome: 90 at the top, 0 on the widest ring."""
    seen_in: tuple[SeenIn, ...]
    """Photos that show it, in their order."""
    missing_in: tuple[int, ...]
    """Photos that see its place well and do not show it."""


@dataclass(frozen=True, slots=True, eq=False)
class _Looks:
    """What the further photos say at the place of a mark, one entry a photo."""

    photos: tuple[int, ...]
    points_px: FloatArray
    """(N, 2) where the mark should be."""
    log_odds: FloatArray
    visible: FloatArray
    same_light: FloatArray
    """Whether in the same light as the surest sighting."""
    weight: FloatArray
    """How much each look counts: looks in one light are alike, so n of them count as the root of n."""


def judge_track(track: Track, photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn], wiped: frozenset[int]) -> SetMark:
    """Judge one mark from all photos.

    Three things can lie behind a mark that a photo shows: a lasting mark, dust, or nothing (design, glare, noise).
    Each further photo that sees the place speaks for or against each of them.

    Parameters
    ----------
    track : Track
    photos, turns
        All photos, and how the piece stands in each.
    wiped
        Numbers of the photos that were taken after wiping, as far as the user says.
    """
    looks = _look_elsewhere(track, photos, turns)
    kinds = _kinds_of(track)
    lasting, dust, nothing, basis = _three_ways(track, looks, kinds, wiped, len(photos))
    total = lasting + dust + nothing
    confidence, dust_odds = (lasting + dust) / total, dust / (lasting + dust)
    parallax = parallax_of(track.sightings, photos, turns)
    kinds = kinds_given_parallax(_with_dust(kinds, dust_odds), parallax)
    kind = max(kinds, key=lambda one: one[1])[0]
    best = max(track.sightings, key=lambda one: (one.mark.confidence * (one.mark.facing or 0.0), -one.photo))
    dust_odds = dict(kinds)[MarkKind.DUST]
    return SetMark(
        mark=_merged(best, kind, kinds, confidence, track.surest.place),
        best_photo=best.photo,
        layer=judge_layer(kinds, parallax, track.surest),
        dust_odds=dust_odds,
        dust_basis=basis,
        latitude_deg=latitude_deg(track.surest.place),
        seen_in=_seen_in(track, looks, photos, turns),
        missing_in=tuple(
            k
            for k, log_odds, visible in zip(looks.photos, looks.log_odds, looks.visible, strict=True)
            if track.in_photo(k) is None and visible > 0.5 and look_ratios(*_one(log_odds))[0][0] < 0.5
        ),
    )


def _one(log_odds: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    return np.array([log_odds]), np.ones(1), np.ones(1)


def _look_elsewhere(track: Track, photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn]) -> _Looks:
    """What all photos but the surest say at the mark's place; none where its own turn is not sure."""
    surest = track.surest
    others = [k for k in range(len(photos)) if k != surest.photo and turns[k].is_sure and turns[surest.photo].is_sure]
    points, log_odds, visible = [], [], []
    for k in others:
        member = track.in_photo(k)
        places = surest.place[None] if member is None else member.place[None]
        points_px, clear = to_photo(places, photos[k], turns[k])
        if member is not None:
            points_px, clear = np.array([member.mark.centre_px]), np.ones(1)
        elif surest.inside_odds > 0.5 and photos[k].is_from_above != photos[surest.photo].is_from_above:
            clear = clear * PARALLAX_VISIBLE
        peak, is_masked = _peak(surest, member, points_px, photos[k], turns[k])
        points.append(points_px[0])
        log_odds.append(peak)
        visible.append(0.0 if is_masked else float(clear[0]))
    alike = np.array([[is_same_light(photos[j], photos[k]) or j == k for j in others] for k in others], dtype=float)
    return _Looks(
        tuple(others),
        np.array(points).reshape(-1, 2),
        np.array(log_odds),
        np.array(visible),
        np.array([float(is_same_light(photos[surest.photo], photos[k])) for k in others]),
        1 / np.sqrt(alike.sum(axis=1)) if others else np.zeros(0),
    )


def _peak(
    surest: Sighting, member: Sighting | None, centre_px: PointsPx, photo: SetPhoto, turn: PhotoTurn
) -> tuple[float, bool]:
    """Log-odds at a mark's place in a further photo, and whether another mark of that photo hides what is there.

    Of a line the better half of its points counts, since parts of it go unseen.
    """
    at_centre = float(photo.peak_at(centre_px)[0])
    if member is not None:
        return at_centre, False
    points_px, clear = centre_px, np.ones(1)
    if surest.is_line:
        points_px, clear = to_photo(surest.outline, photo, turn)
    seen = points_px[clear > 0] if (clear > 0).any() else centre_px
    all_peaks = photo.peak_at(seen)
    reach = reach_px(photo.findings)
    own_peaks = np.array([_free_peak(photo, one[None], reach) for one in seen])
    peak, of_any = float(np.quantile(own_peaks, 0.75)), float(np.quantile(all_peaks, 0.75))
    return peak, of_any - peak > OTHER_MARK_LOG_ODDS and of_any > 0


def _free_peak(photo: SetPhoto, point_px: PointsPx, reach: float) -> float:
    """Largest log-odds near a pixel (1, 2) outside the photo's own marks."""
    odds, _ = photo.odds_within(point_px, reach, frozenset())
    highest = float(np.clip(odds.max() if odds.size else 0.0, LEAST_ODDS, 1 - LEAST_ODDS))
    return float(np.log(highest / (1 - highest)))


def _three_ways(
    track: Track, looks: _Looks, kinds: KindOdds, wiped: frozenset[int], n_photos: int
) -> tuple[float, float, float, str]:
    """Weights of a lasting mark, dust and nothing, and what tells dust from the rest."""
    sure, dust_share = track.surest.mark.confidence, dict(kinds)[MarkKind.DUST]
    if_mark, if_none = (ratio**looks.weight for ratio in look_ratios(looks.log_odds, looks.visible, looks.same_light))
    told = bool(wiped) and len(wiped) < n_photos
    here_wiped = track.surest.photo in wiped
    stays = np.array([_dust_stays(here_wiped, k in wiped) if told else DUST_STAYS for k in looks.photos])
    dust_start = sure * dust_share * (DUST_AFTER_WIPING if told and here_wiped else 1.0)
    lasting = sure * (1 - dust_share) * float(np.prod(if_mark))
    dust = dust_start * float(np.prod(stays * if_mark + (1 - stays)))
    nothing = (1 - sure) * float(np.prod(if_none))
    crossing = told and any(
        (k in wiped) != here_wiped and v > 0.5 for k, v in zip(looks.photos, looks.visible, strict=True)
    )
    missing = bool((looks.visible * (if_mark < 0.5)).any())
    basis = BY_WIPING if crossing else BY_ABSENCE if missing else BY_LOOK
    return lasting, dust, nothing, basis


def _dust_stays(here_wiped: bool, there_wiped: bool) -> float:
    """Chance that dust of one photo is still there in another, where it is known which were taken after wiping."""
    return DUST_AFTER_WIPING if here_wiped != there_wiped else 1.0


def _kinds_of(track: Track) -> KindOdds:
    """Mean odds of each kind over the sightings, each by its sureness."""
    total = sum(one.mark.confidence for one in track.sightings)
    return tuple(
        (kind, sum(one.mark.confidence * one.mark.odds_of(kind) for one in track.sightings) / total)
        for kind in MarkKind
    )


def _with_dust(kinds: KindOdds, dust_odds: float) -> KindOdds:
    """Odds of each kind with those of dust set, the others keeping their shares."""
    rest = sum(odds for kind, odds in kinds if kind != MarkKind.DUST)
    others = len(kinds) - 1
    return tuple(
        (kind, dust_odds if kind == MarkKind.DUST else (1 - dust_odds) * (odds / rest if rest > 0 else 1 / others))
        for kind, odds in kinds
    )


def _merged(best: Sighting, kind: MarkKind, kinds: KindOdds, confidence: float, place: FloatArray) -> Mark:
    """The best view of a mark with what all photos together say of it."""
    judged = replace(
        best.mark,
        kind=kind,
        confidence=round(min(max(confidence, 0.0), 1.0), 4),
        kind_odds=tuple((one, round(odds, 4)) for one, odds in kinds),
    )
    if judged.zone == BASE_ZONE:
        return judged
    ratio = float(np.hypot(*place[:2]))
    return replace(
        judged,
        clock_h=clock_of(place),
        zone=zone_of(min(ratio, 1.0)),
        radius_ratio=min(ratio, 1.0),
    )


def _seen_in(track: Track, looks: _Looks, photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn]) -> tuple[SeenIn, ...]:
    """Photos that show the mark, by their own finding or at a second look."""
    found = [SeenIn(one.photo, one.mark.outline_px, one.mark, one.number) for one in track.sightings]
    for k, point_px, visible in zip(looks.photos, looks.points_px, looks.visible, strict=True):
        if track.in_photo(k) is None and visible > 0:
            outline = outline_near(photos[k], point_px[None], reach_of(photos[k], turns[k]))
            if outline is not None:
                found.append(SeenIn(k, outline, None, None))
    return tuple(sorted(found, key=lambda one: one.photo))
