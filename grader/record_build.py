"""From findings to the record."""

import math
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

import cv2
import numpy as np
import PIL
import scipy

from calib.arrays import PointsPx
from calib.card_fit import CardFit
from calib.errors import ActionableError
from calib.measured import Measured, format_measured
from grader.constants import COVERAGE_FACTOR
from grader.findings import PhotoFindings
from grader.flags import describe_flags
from grader.grade.grade import Grade
from grader.grade.iso10110 import iso_numbers
from grader.grade.words import confidence_words, place_words, size_words
from grader.marks.mark import Mark, MarkKind
from grader.marks.unseen import UnseenArea
from grader.outline.dome_view import NoCard
from grader.photos.load import Photo
from grader.quality_facts import quality_facts
from grader.record import (
    CardFacts,
    Findings,
    FlagFacts,
    FormFacts,
    GradeFacts,
    GradingRecord,
    IsoFacts,
    MarkFacts,
    Measurement,
    Measurements,
    PhotoFacts,
    PhotoFault,
    PhotoSetFacts,
    SectorFacts,
    SeenInFacts,
    TurnFacts,
    UnseenFacts,
    Versions,
)
from grader.sets.judge_set import SetFindings
from grader.sets.judge_track import BY_LOOK, SetMark
from grader.sets.layer import judge_layer_alone
from grader.settings import Settings
from grader.size.diameter import Diameters
from grader.size.form import Form, judge_form
from grader.size.profile import NoProfile, Profile
from grader.version import __version__


def build_record(
    findings: Sequence[PhotoFindings],
    faults: Sequence[tuple[str, ActionableError]],
    settings: Settings,
    now: datetime | None,
    profile: Profile | NoProfile,
    together: SetFindings | None,
) -> GradingRecord:
    """Record of an examination.

    Parameters
    ----------
    findings
        What each photo shows, the main photo first; at least one.
    faults
        Name and fault of each photo that could not be examined.
    settings
        Settings of the run.
    now
        Time to state, or None for a record that states none.
    profile
        Height and foot by photos from the side, or why there are none.
    together
        What several photos show together; None for a single one.
    """
    single = [findings_of(one) for one in findings]
    main = single[0] if together is None else joint_findings(findings, together)
    if isinstance(profile, Profile):
        main = with_profile(main, profile, judge_form(findings[0].view, findings[0].diameters, profile))
    return GradingRecord(
        **dict(main),
        made_at='' if now is None else now.isoformat(),
        versions=program_versions(),
        settings=settings,
        photos=tuple(photo_facts(one.view.photo) for one in findings),
        photo_set=None if together is None else photo_set_facts(findings, together),
        other_findings=() if together is None else tuple(single),
        faults=tuple(PhotoFault(name=name, problem=err.problem, remedy=err.remedy) for name, err in faults),
    )


def program_versions() -> Versions:
    """Versions of the programs at work."""
    return Versions(
        grader=__version__,
        numpy=np.__version__,
        opencv=cv2.__version__,
        pillow=PIL.__version__,
        scipy=scipy.__version__,
    )


def findings_of(findings: PhotoFindings) -> Findings:
    """Findings of one photo, as the record holds them."""
    view, diameters, marks = findings.view, findings.diameters, findings.marks
    costs = findings.grade.mark_costs
    iso = iso_numbers(marks)
    return Findings(
        photo=view.photo.name,
        card=card_facts(view.card),
        outline_px=_points(view.outline.contour_px),
        shape=view.outline.shape,
        measurements=measurements_of(diameters),
        marks=tuple(
            mark_facts(number, mark, cost, diameters.max_px)
            for number, (mark, cost) in enumerate(zip(marks, costs, strict=True), start=1)
        ),
        iso_10110=IsoFacts(surface=iso.surface, bubbles=iso.bubbles, note=iso.note),
        unseen=tuple(unseen_facts(area) for area in findings.unseen),
        unseen_ratio=findings.unseen_ratio,
        quality=quality_facts(findings.quality),
        grade=grade_facts(findings.grade),
        flags=flag_facts([*findings.flags, *(name for mark in marks for name in mark.flags)]),
    )


def joint_findings(findings: Sequence[PhotoFindings], together: SetFindings) -> Findings:
    """Findings of the main photo, with marks and grade as all photos together tell them."""
    main, names = findings_of(findings[0]), [one.view.photo.name for one in findings]
    marks = [one.mark for one in together.marks]
    iso = iso_numbers(marks)
    joint = {
        'marks': tuple(
            set_mark_facts(number, one, cost, findings, names)
            for number, (one, cost) in enumerate(zip(together.marks, together.grade.mark_costs, strict=True), start=1)
        ),
        'iso_10110': IsoFacts(surface=iso.surface, bubbles=iso.bubbles, note=iso.note),
        'unseen_ratio': together.coverage.main_unseen_ratio,
        'grade': grade_facts(together.grade),
        'flags': flag_facts([*together.flags, *(name for mark in marks for name in mark.flags)]),
    }
    return Findings(**{**dict(main), **joint})


def with_profile(main: Findings, profile: Profile, form: Form) -> Findings:
    """Findings with the heights and the form that photos from the side tell."""
    heights = {
        'height_mm': measurement(profile.height_mm),
        'base_mm': None if profile.base_mm is None else measurement(profile.base_mm),
        'form': FormFacts(
            kind=form.kind.value,
            words=form.words,
            sizes={name: measurement(size) for name, size in form.sizes},
            n_facets=form.n_facets,
        ),
        'n_side_photos': profile.n_photos,
    }
    names = [*(flag.name for flag in main.flags), *profile.flags]
    measurements = Measurements(**{**dict(main.measurements), **heights})
    return Findings(**{**dict(main), 'measurements': measurements, 'flags': flag_facts(names)})


def photo_set_facts(findings: Sequence[PhotoFindings], together: SetFindings) -> PhotoSetFacts:
    """How the photos of a set belong together, and what they show."""
    names, coverage = [one.view.photo.name for one in findings], together.coverage
    return PhotoSetFacts(
        turns=tuple(
            TurnFacts(
                photo=name,
                turn_deg=math.degrees(turn.turn_rad),
                u_turn_deg=math.degrees(turn.u_turn_rad),
                probability=turn.probability,
                is_related=turn.is_sure,
                basis=turn.basis,
                is_base=one.is_base,
                seen_ratio=ratio,
            )
            for one, name, turn, ratio in zip(findings, names, together.turns, coverage.photo_ratios, strict=True)
        ),
        seen_ratio=coverage.seen_ratio,
        sectors=tuple(
            SectorFacts(
                band=one.band,
                quarter=one.quarter,
                seen_ratio=one.seen_ratio,
                photos=tuple(names[k] for k in one.photos),
            )
            for one in coverage.sectors
        ),
    )


def flag_facts(names: Iterable[str]) -> tuple[FlagFacts, ...]:
    """Flags of these names, in words."""
    return tuple(FlagFacts(name=flag.name, short=flag.short, text=flag.long) for flag in describe_flags(names))


def photo_facts(photo: Photo) -> PhotoFacts:
    """Facts about a photo file."""
    width, height = photo.size_px
    return PhotoFacts(
        name=photo.name,
        sha256=photo.sha256,
        file_format=photo.file_format,
        width_px=width,
        height_px=height,
        bit_depth=photo.bit_depth,
        n_bytes=photo.n_bytes,
        taken_at=photo.taken_at,
        camera=photo.camera,
        f35_mm=photo.f35_mm,
    )


def card_facts(card: CardFit | NoCard) -> CardFacts:
    """Facts about the fit of the card."""
    if isinstance(card, NoCard):
        return CardFacts(card='none', reason=card.reason)
    x_mm, y_mm, z_mm = (float(v) for v in card.camera_position_mm)
    return CardFacts(
        card=card.spec.name,
        n_markers=len(card.corners),
        rms_px=card.rms_px,
        focal_px=card.camera.focal_px,
        u_focal_px=card.camera.u_focal_px,
        focal_source=card.camera.focal_source,
        k1=card.camera.k1,
        camera_position_mm=(x_mm, y_mm, z_mm),
        u_print_ratio=card.u_print_ratio,
    )


def measurements_of(diameters: Diameters) -> Measurements:
    """Widths with their budgets; in mm only where there is a card."""
    ring = diameters.ring
    return Measurements(
        diameter_max_mm=None if diameters.max_mm is None else measurement(diameters.max_mm),
        diameter_min_mm=None if diameters.min_mm is None else measurement(diameters.min_mm),
        diameter_max_px=diameters.max_px,
        diameter_min_px=diameters.min_px,
        max_direction_deg=diameters.max_direction_deg,
        min_direction_deg=diameters.min_direction_deg,
        ring_mm=None if isinstance(ring, NoCard) else ring.ring_mm,
        u_ring_mm=None if isinstance(ring, NoCard) else ring.u_ring_mm,
        ring_source=ring.reason if isinstance(ring, NoCard) else ring.source,
    )


def measurement(measured: Measured) -> Measurement:
    """A length in mm with its uncertainty budget."""
    return Measurement(
        value=measured.value,
        unit='mm',
        expanded_uncertainty=measured.expanded(COVERAGE_FACTOR),
        coverage_factor=COVERAGE_FACTOR,
        standard_uncertainty=measured.u,
        components={name: abs(u) for name, u in measured.components},
        text=format_measured(measured, COVERAGE_FACTOR),
    )


def set_mark_facts(
    number: int, one: SetMark, cost_points: float, findings: Sequence[PhotoFindings], names: Sequence[str]
) -> MarkFacts:
    """One mark of a set, with the photos that show it."""
    best = findings[one.best_photo]
    facts = mark_facts(number, one.mark, cost_points, best.diameters.max_px)
    depth, radius_mm = one.layer.depth_ratio, best.surface.mean_radius_mm
    joint = {
        'layer': one.layer.layer,
        'surface_odds': one.layer.surface_odds,
        'layer_basis': one.layer.basis,
        'depth_mm': depth * radius_mm if depth is not None and best.surface.is_metric else None,
        'dust_odds': one.dust_odds,
        'dust_basis': one.dust_basis,
        'latitude_deg': one.latitude_deg,
        'photo': names[one.best_photo],
        'seen_in': tuple(
            SeenInFacts(
                photo=names[seen.photo],
                outline_px=_points(seen.outline_px),
                number=seen.number,
                confidence=None if seen.own is None else seen.own.confidence,
            )
            for seen in one.seen_in
        ),
        'missing_in': tuple(names[k] for k in one.missing_in),
    }
    return MarkFacts(**{**dict(facts), **joint})


def mark_facts(number: int, mark: Mark, cost_points: float, piece_px: float) -> MarkFacts:
    """One mark, in mm with a card and as a share of the piece's width without."""
    layer = judge_layer_alone(mark.kind_odds)
    sizes: dict[str, Any]
    if mark.length_mm is None or mark.width_mm is None or mark.diameter_mm is None:
        sizes = {
            'length_ratio': mark.length_px / piece_px,
            'width_ratio': mark.width_px / piece_px,
            'diameter_ratio': mark.diameter_px / piece_px,
        }
    else:
        sizes = {
            'length_mm': mark.length_mm.value,
            'u_length_mm': mark.length_mm.u,
            'width_mm': mark.width_mm.value,
            'u_width_mm': mark.width_mm.u,
            'diameter_mm': mark.diameter_mm.value,
            'u_diameter_mm': mark.diameter_mm.u,
            'area_mm2': mark.area_mm2,
        }
    return MarkFacts(
        number=number,
        kind=mark.kind.value,
        confidence=mark.confidence,
        kind_odds={kind.value: odds for kind, odds in mark.kind_odds},
        outline_px=_points(mark.outline_px),
        centre_px=mark.centre_px,
        length_px=mark.length_px,
        width_px=mark.width_px,
        diameter_px=mark.diameter_px,
        clock_h=mark.clock_h,
        zone=mark.zone,
        radius_ratio=mark.radius_ratio,
        facing=mark.facing,
        layer=layer.layer,
        surface_odds=layer.surface_odds,
        layer_basis=layer.basis,
        dust_odds=mark.odds_of(MarkKind.DUST),
        dust_basis=BY_LOOK,
        cost_points=cost_points,
        size_words=size_words(mark, piece_px),
        place_words=place_words(mark),
        confidence_words=confidence_words(mark.confidence),
        flags=mark.flags,
        **sizes,
    )


def unseen_facts(area: UnseenArea) -> UnseenFacts:
    """One part of the piece in which marks could not be seen."""
    return UnseenFacts(
        reason=area.reason,
        polygon_px=_points(area.polygon_px),
        area_ratio=area.area_ratio,
        area_mm2=area.area_mm2,
    )


def grade_facts(grade: Grade) -> GradeFacts:
    """The grade and why."""
    return GradeFacts(
        score=grade.score,
        interval=grade.interval,
        band=grade.band,
        borderline=grade.borderline,
        other_band=grade.other_band,
        headline=grade.headline,
        reasons=grade.reasons,
        rules_version=grade.rules_version,
    )


def _points(points_px: PointsPx) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in points_px)
