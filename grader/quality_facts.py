"""A photo's quality as a record holds it."""

from typing import Annotated, Literal

from grader.quality.advice import smallest_words
from grader.quality.photo_quality import NoLimits, PhotoQuality
from grader.quality.wanted_views import view_words
from grader.record_parts import Mm, Px, Ratio, RecordPart, rounded

_Light = Annotated[float, rounded(4)]
_Degrees = Annotated[float, rounded(1)]
_PxFine = Annotated[float, rounded(3)]


class QualityFacts(RecordPart):
    """What one photo can show; fields that could not be told are left out."""

    verdict: Literal['usable', 'usable with limits', 'take it again']
    view: Literal['above', 'slanted', 'side', 'close-up', 'unknown']
    view_words: str
    """What the photo is, in words."""
    light: Literal['coaxial', 'low', 'unknown']
    light_reason: str
    light_comes_low: bool | None = None
    blur_source: Literal['card', 'glass', 'none']
    blur_px: _PxFine | None = None
    """Spread (standard deviation) of light across sharp edges."""
    blur_most_px: _PxFine | None = None
    blur_least_px: _PxFine | None = None
    blur_mm: Mm | None = None
    glass_blur_px: _PxFine | None = None
    """The same across the sharpest edges of the piece, which may be soft by themselves."""
    n_edges: int
    px_per_mm: _PxFine | None = None
    tilt_deg: _Degrees | None = None
    turn_deg: _Degrees | None = None
    rim_ratio: Ratio
    paper_light: _Light | None = None
    """Light of white paper, 1 is the photo's white, linear."""
    piece_light: _Light
    clipped_ratio: Ratio
    dark_ratio: Ratio
    glare_ratio: Ratio | None = None
    noise_source: Literal['patches', 'smooth parts', 'none']
    noise_ratio: Annotated[float, rounded(5)] | None = None
    """Standard deviation of a single pixel's luminance, as a share of white."""
    smallest_scratch_mm: Mm | None = None
    """Width of the narrowest scratch that would show on the middling part of the piece."""
    smallest_scratch_plain_mm: Mm | None = None
    """The same on its plainest tenth."""
    smallest_chip_mm: Mm | None = None
    smallest_chip_plain_mm: Mm | None = None
    smallest_scratch_px: Px | None = None
    smallest_scratch_plain_px: Px | None = None
    smallest_chip_px: Px | None = None
    smallest_chip_plain_px: Px | None = None
    smallest_words: str
    advice: tuple[str, ...]
    doubts: tuple[str, ...]


def quality_facts(quality: PhotoQuality) -> QualityFacts:
    """Facts of a photo's quality."""
    placing, light, focus = quality.placing, quality.light, quality.focus
    exposure, noise = quality.exposure, quality.noise
    smallest = None if isinstance(quality.smallest, NoLimits) else quality.smallest
    return QualityFacts(
        verdict=quality.verdict,
        view=placing.view,
        view_words=view_words(placing, light),
        light=light.kind,
        light_reason=light.reason,
        light_comes_low=light.comes_low,
        blur_source=focus.source,
        blur_px=focus.blur_px,
        blur_most_px=focus.most_px,
        blur_least_px=focus.least_px,
        blur_mm=quality.blur_mm,
        glass_blur_px=focus.glass_px,
        n_edges=focus.n_edges,
        px_per_mm=placing.px_per_mm,
        tilt_deg=placing.tilt_deg,
        turn_deg=placing.turn_deg,
        rim_ratio=placing.rim_ratio,
        paper_light=exposure.paper_light,
        piece_light=exposure.piece_light,
        clipped_ratio=exposure.clipped_ratio,
        dark_ratio=exposure.dark_ratio,
        glare_ratio=quality.glare_ratio,
        noise_source=noise.source,
        noise_ratio=noise.at_piece,
        smallest_scratch_mm=None if smallest is None else smallest.scratch_mm,
        smallest_scratch_plain_mm=None if smallest is None else smallest.plain_scratch_mm,
        smallest_chip_mm=None if smallest is None else smallest.chip_mm,
        smallest_chip_plain_mm=None if smallest is None else smallest.plain_chip_mm,
        smallest_scratch_px=None if smallest is None else smallest.scratch_px,
        smallest_scratch_plain_px=None if smallest is None else smallest.plain_scratch_px,
        smallest_chip_px=None if smallest is None else smallest.chip_px,
        smallest_chip_plain_px=None if smallest is None else smallest.plain_chip_px,
        smallest_words=smallest_words(quality.smallest),
        advice=quality.advice,
        doubts=quality.doubts,
    )
