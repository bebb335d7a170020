"""A record made by hand, for tests that need one."""

from grader.quality_facts import QualityFacts
from grader.record import (
    CardFacts,
    Findings,
    FlagFacts,
    GradeFacts,
    GradingRecord,
    IsoFacts,
    MarkFacts,
    Measurement,
    Measurements,
    PhotoFacts,
    PhotoSetFacts,
    SectorFacts,
    SeenInFacts,
    TurnFacts,
    UnseenFacts,
    Versions,
)
from grader.settings import Settings

SCRATCH = MarkFacts(
    number=1,
    kind='scratch',
    confidence=0.93,
    kind_odds={'scratch': 0.99, 'chip': 0.01},
    outline_px=((10.0, 20.0), (60.5, 20.25), (60.5, 22.0)),
    centre_px=(35.0, 21.0),
    length_px=50.5,
    width_px=2.0,
    diameter_px=11.3,
    length_mm=5.05,
    u_length_mm=0.11,
    width_mm=0.2,
    u_width_mm=0.05,
    diameter_mm=1.13,
    layer='surface',
    surface_odds=0.98,
    layer_basis=('kind of mark',),
    dust_odds=0.0,
    dust_basis='look of the mark',
    u_diameter_mm=0.1,
    area_mm2=1.01,
    clock_h=4.1,
    zone='shoulder',
    facing=0.8,
    cost_points=6.5,
    size_words="5.1 mm long, 0.20 mm wide",
    place_words="on the shoulder near 4 o'clock",
    confidence_words="very likely",
    flags=(),
)
DOUBTFUL_CHIP = SCRATCH.model_copy(
    update={
        'number': 2,
        'kind': 'chip',
        'confidence': 0.3,
        'size_words': "1.1 mm across",
        'confidence_words': "possible",
    }
)

QUALITY = QualityFacts(
    verdict='usable', view='above', view_words="from above", light='coaxial', light_reason="a ring light is mirrored", light_comes_low=False,
    blur_source='card', blur_px=0.9, blur_most_px=0.92, blur_least_px=0.88, blur_mm=0.1, n_edges=74, px_per_mm=9.0,
    tilt_deg=1.5, rim_ratio=1.0, paper_light=0.6, piece_light=0.2, clipped_ratio=0.01, dark_ratio=0.0, glare_ratio=0.02,
    noise_source='patches', noise_ratio=0.004, smallest_scratch_mm=0.12, smallest_chip_mm=0.4,
    smallest_words="scratches from 0.12 mm wide; chips from 0.40 mm across", advice=(), doubts=(),
)  # fmt: skip


def width(value: float, expanded: float) -> Measurement:
    return Measurement(
        value=value,
        unit='mm',
        expanded_uncertainty=expanded,
        coverage_factor=2.0,
        standard_uncertainty=expanded / 2,
        components={'outline': expanded / 2},
        text=f"{value:.2f} mm ± {expanded:.2f} mm (k = 2)",
    )


def sample_findings(photo: str = 'a.jpg', **changes: object) -> Findings:
    fields = {
        'photo': photo,
        'card': CardFacts(card='frame', n_markers=24, rms_px=0.1234, focal_px=3000.0, u_focal_px=20.0,
                          focal_source="Exif", k1=-0.05, camera_position_mm=(1.0, -2.0, 400.0), u_print_ratio=0.001),
        'outline_px': ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)),
        'shape': 'round',
        'measurements': Measurements(
            diameter_max_mm=width(71.03, 0.62), diameter_min_mm=width(70.66, 0.61), diameter_max_px=710.3,
            diameter_min_px=706.6, max_direction_deg=12.0, min_direction_deg=102.0, ring_mm=20.0, u_ring_mm=4.0,
            ring_source="usual shape of paperweights",
        ),
        'marks': (SCRATCH, DOUBTFUL_CHIP),
        'iso_10110': IsoFacts(surface="L1 x 0.25", bubbles='', note="In the manner of ISO 10110."),
        'unseen': (
            UnseenFacts(reason='ring reflection', polygon_px=((1.0, 1.0), (2.0, 1.0), (2.0, 2.0)), area_ratio=0.04,
                        area_mm2=160.0),
            UnseenFacts(reason='too steep', polygon_px=((1.0, 1.0), (2.0, 1.0), (2.0, 2.0)), area_ratio=0.06,
                        area_mm2=240.0),
        ),
        'unseen_ratio': 0.1,
        'quality': QUALITY,
        'grade': GradeFacts(score=86.2, interval=(80.1, 91.0), band='light wear', borderline=False, other_band='',
                            headline="light wear", reasons=("1 scratch costs about 7 points.",), rules_version='v1'),
        'flags': (FlagFacts(name='card-cut-off', short="card cut off", text="The picture does not show the whole card."),),
    }  # fmt: skip
    return Findings(**{**fields, **changes})


def sample_record(**changes: object) -> GradingRecord:
    main = sample_findings(**{key: value for key, value in changes.items() if key in Findings.model_fields})
    rest = {
        'made_at': '',
        'versions': Versions(grader='0.1.0', numpy='2', opencv='5', pillow='13', scipy='1'),
        'settings': Settings(),
        'photos': (
            PhotoFacts(name=main.photo, sha256='0' * 64, file_format='JPEG', width_px=1000, height_px=800, bit_depth=8,
                       n_bytes=12345, taken_at='2026-03-10 10:09:00', camera='Maker One', f35_mm=51.0),
        ),
        'photo_set': None,
        'other_findings': (),
        'faults': (),
    }  # fmt: skip
    return GradingRecord(**dict(main), **{**rest, **{k: v for k, v in changes.items() if k in rest}})


def sample_set_record() -> GradingRecord:
    """Two photos, the second of which could not be related to the first."""
    seen = tuple(SeenInFacts(photo=name, outline_px=SCRATCH.outline_px) for name in ('a.jpg', 'b.jpg'))
    turns = (
        TurnFacts(photo='a.jpg', turn_deg=0.0, u_turn_deg=0.0, probability=1.0, is_related=True, basis="main",
                  seen_ratio=0.38),
        TurnFacts(photo='b.jpg', turn_deg=41.2, u_turn_deg=0.3, probability=0.4, is_related=False, basis="design",
                  seen_ratio=0.0),
    )  # fmt: skip
    sectors = tuple(
        SectorFacts(band=band, quarter=quarter, seen_ratio=ratio, photos=())
        for band, quarter, ratio in (('crown', 'first', 1.0), ('crown', 'second', 0.96), ('rim', 'first', 0.25))
    )
    single = sample_record()
    photos = (*single.photos, single.photos[0].model_copy(update={'name': 'b.jpg'}))
    return sample_record(
        marks=(SCRATCH.model_copy(update={'seen_in': seen, 'missing_in': (), 'photo': 'a.jpg'}),),
        photos=photos,
        photo_set=PhotoSetFacts(turns=turns, seen_ratio=0.4, sectors=sectors),
        other_findings=(sample_findings(), sample_findings('b.jpg')),
    )
