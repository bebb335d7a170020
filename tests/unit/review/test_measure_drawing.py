"""Sizes and places of drawn marks, against the geometry of the dome."""

import math

import numpy as np
import pytest

from grader.errors import PhotoSetUnusable, SettingsInvalid
from grader.outline.constants import RISE_OF_WIDTH_RATIO
from grader.record import CardFacts
from grader.review.acts import Drawing
from grader.review.constants import ASSUMED_WIDTH_RATIO
from grader.review.drawing_ground import ground_of_record, photo_of_drawing
from grader.review.measure_drawing import measure_drawing
from grader.settings import SetSettings, Settings
from tests.support.reviewed import CENTRE_PX, RADIUS_PX, at_px, found_mark, round_record, square_px
from tests.support.sample_record import QUALITY, sample_findings, sample_set_record

RECORD = round_record()
GROUND = ground_of_record(RECORD, 'a.jpg')
WIDTH_MM, EYE_MM = 71.03, 400.0 - 20.0
RISE_MM = RISE_OF_WIDTH_RATIO * WIDTH_MM


def outline(*where, side_px=20.0):
    return Drawing(shape='outline', points_px=square_px(*where, side_px))


def test_a_small_square_on_the_top():
    drawn = measure_drawing(outline(0.0, 0.0), GROUND)
    # There the glass lies level, and nearer to the camera by the dome's rise, so that a pixel is less than 0.1 mm.
    px_mm = WIDTH_MM / (2 * RADIUS_PX) * (1 - RISE_MM / EYE_MM)
    assert drawn.diameter_mm == pytest.approx(2 * math.sqrt(400 / math.pi) * px_mm, rel=2e-3)
    assert (drawn.diameter_px, drawn.zone, drawn.facing) == (22.57, 'crown', pytest.approx(1.0, abs=1e-3))
    assert (drawn.width_source, drawn.surface_source) == ('drawn', 'record')


def test_a_square_on_the_slope_is_longer_on_the_glass_than_in_the_photo():
    ratio = 0.6
    drawn = measure_drawing(outline(ratio, 3.0), GROUND)
    # Ellipse z = b sqrt(1 - r^2): its slope stretches areas by the root of 1 + z'^2.
    slope = RISE_MM / (WIDTH_MM / 2) * ratio / math.sqrt(1 - ratio**2)
    px_mm = WIDTH_MM / (2 * RADIUS_PX) * (1 - RISE_MM * math.sqrt(1 - ratio**2) / EYE_MM)
    area_mm2 = 400 * px_mm**2 * math.sqrt(1 + slope**2)
    assert drawn.diameter_mm == pytest.approx(2 * math.sqrt(area_mm2 / math.pi), rel=5e-3)
    assert drawn.radius_ratio == pytest.approx(ratio, abs=0.002)
    assert (drawn.zone, drawn.clock_h) == ('shoulder', pytest.approx(3.0, abs=0.02))


def test_a_line_is_as_long_as_its_path_over_the_dome():
    line = Drawing(shape='line', points_px=(at_px(0.5, 9.0), at_px(0.5, 3.0)))
    drawn = measure_drawing(line, GROUND)
    r = np.linspace(-0.5, 0.5, 20001)
    z = RISE_MM / (WIDTH_MM / 2) * np.sqrt(1 - r**2)
    path_mm = WIDTH_MM / 2 * np.hypot(np.diff(r), np.diff(z)).sum()
    assert drawn.length_mm == pytest.approx(path_mm * (1 - RISE_MM / EYE_MM), rel=5e-3)
    assert drawn.width_source == 'assumed'
    assert drawn.width_mm == pytest.approx(ASSUMED_WIDTH_RATIO * WIDTH_MM, rel=0.1)
    assert drawn.u_width_mm == pytest.approx(0.5 * drawn.width_mm, rel=5e-3)


def test_a_stated_width_is_kept():
    line = Drawing(shape='line', points_px=(at_px(0.1, 9.0), at_px(0.1, 3.0)), width_mm=0.3)
    drawn = measure_drawing(line, GROUND)
    assert (drawn.width_mm, drawn.width_source) == (0.3, 'stated')
    assert drawn.width_px * drawn.length_mm / drawn.length_px == pytest.approx(0.3, rel=0.02)


def test_the_same_shape_drawn_as_outline_and_as_line_is_as_long():
    ends = np.array([at_px(0.3, 9.0), at_px(0.3, 3.0)])
    band = (ends[0] - (0, 2), ends[1] - (0, 2), ends[1] + (0, 2), ends[0] + (0, 2))
    by_line = measure_drawing(Drawing(shape='line', points_px=tuple(map(tuple, ends))), GROUND)
    by_outline = measure_drawing(Drawing(shape='outline', points_px=tuple(map(tuple, band))), GROUND)
    assert by_outline.length_mm == pytest.approx(by_line.length_mm, rel=5e-3)


def test_doubt_of_a_small_mark_is_that_of_its_edges():
    small, large = (measure_drawing(outline(0.0, 0.0, side_px=side), GROUND) for side in (6.0, 60.0))
    assert small.u_diameter_mm / small.diameter_mm > 0.2
    # The scale by the record alone, 5 %, and how far the mark reaches, 3 %.
    assert 0.058 < large.u_diameter_mm / large.diameter_mm < 0.07


def test_without_a_card_only_pixels_are_told():
    widths = {'diameter_max_mm': None, 'diameter_min_mm': None, 'ring_mm': None, 'u_ring_mm': None}
    record = round_record(
        card=CardFacts(card='none', reason="no card"), measurements=RECORD.measurements.model_copy(update=widths)
    )
    ground = ground_of_record(record, 'a.jpg')
    drawn = measure_drawing(outline(0.0, 0.0), ground)
    assert (drawn.diameter_px, drawn.diameter_mm, drawn.u_length_mm) == (22.57, None, None)
    with pytest.raises(SettingsInvalid, match=r"--width-mm: the photo a\.jpg has no millimetres"):
        measure_drawing(Drawing(shape='line', points_px=((450, 400), (550, 400)), width_mm=0.2), ground)


def test_a_drawing_beside_the_piece():
    with pytest.raises(SettingsInvalid, match="The drawing lies beside the piece: its middle is at 50,400"):
        measure_drawing(Drawing(shape='outline', points_px=((40, 390), (60, 390), (60, 410), (40, 410))), GROUND)


def test_the_cards_turn_is_told_by_the_marks_of_the_record():
    marks = (found_mark(1, 'chip', 0.9, 0.5, 4.0), found_mark(2, 'chip', 0.9, 0.6, 11.0))
    turned = tuple(one.model_copy(update={'clock_h': (one.clock_h + 3.0) % 12}) for one in marks)
    ground = ground_of_record(round_record(marks=turned), 'a.jpg')
    assert measure_drawing(outline(0.5, 6.0), ground).clock_h == pytest.approx(9.0, abs=0.02)
    assert measure_drawing(outline(0.5, 6.0), ground_of_record(round_record(marks=()), 'a.jpg')).clock_h is None


def test_in_a_set_the_clock_is_that_of_the_main_photo():
    record = sample_set_record()
    related = record.photo_set.turns[1].model_copy(update={'is_related': True, 'turn_deg': 60.0})
    by_itself = {'outline_px': RECORD.outline_px, 'measurements': RECORD.measurements, 'marks': RECORD.marks}
    record = record.model_copy(
        update={
            'photo_set': record.photo_set.model_copy(update={'turns': (record.photo_set.turns[0], related)}),
            'other_findings': (record.other_findings[0], sample_findings('b.jpg', **by_itself)),
        }
    )
    assert measure_drawing(outline(0.5, 6.0), ground_of_record(record, 'b.jpg')).clock_h == pytest.approx(8.0, abs=0.02)


def test_a_photo_of_the_base_shows_the_base():
    settings = Settings(sets=SetSettings(base=('a.jpg',)))
    drawn = measure_drawing(outline(0.5, 6.0), ground_of_record(round_record(settings=settings), 'a.jpg'))
    assert (drawn.zone, drawn.radius_ratio) == ('base', None)


def test_from_the_side_the_record_alone_tells_no_place():
    record = round_record(quality=QUALITY.model_copy(update={'view': 'side'}))
    with pytest.raises(PhotoSetUnusable, match=r"not taken from above.* Put the photo beside the record"):
        ground_of_record(record, 'a.jpg')


def test_photo_of_a_drawing():
    record = sample_set_record()
    assert photo_of_drawing(record, '') == 'a.jpg'
    assert photo_of_drawing(record, '', 'b.jpg') == 'b.jpg'
    assert photo_of_drawing(record, 'a.jpg', 'b.jpg') == 'a.jpg'
    with pytest.raises(SettingsInvalid, match=r"c\.jpg is not a photo of the record\. Give one of: a\.jpg, b\.jpg"):
        photo_of_drawing(record, 'c.jpg')
    twins = record.model_copy(update={'photos': (record.photos[0], record.photos[0])})
    with pytest.raises(SettingsInvalid, match=r"2 photos of the record are called a\.jpg"):
        photo_of_drawing(twins, '')


def test_centre_is_the_middle_of_the_drawing():
    assert measure_drawing(outline(0.0, 0.0), GROUND).centre_px == pytest.approx(CENTRE_PX)
