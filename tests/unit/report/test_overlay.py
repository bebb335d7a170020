"""The annotated picture: what is shown, where, and that the glass stays visible."""

import math
from dataclasses import replace

import numpy as np
import pytest

from grader.grade.grade import grade_piece
from grader.grade.rules import load_rules
from grader.marks.mark import MarkKind
from grader.marks.unseen import UnseenArea
from grader.report.canvas import Canvas
from grader.report.constants import COLOURS, MARGIN_U, UNSEEN_LETTERS
from grader.report.glass_lines import noon_direction
from grader.report.labels import corner_box, place_in_corners, ring_margin_u, widest_gap
from grader.report.legend_rows import legend_rows
from grader.report.overlay import draw_overlay, draw_picture
from grader.report.picture_frame import cut_picture, frame_piece
from grader.report.scale_bar import bar_length
from grader.report.shown import Spoken, shown_marks, shown_unseen
from grader.report.tags import draw_mark_tag, tag_outline
from tests.support.marks import make_mark
from tests.support.piece_view import FlatCard, make_diameters, make_view

RULES = load_rules()


def mark_at(x, y, kind='chip', confidence=0.9, half_px=12.0):
    outline = np.array([[x - half_px, y - half_px], [x + half_px, y - half_px], [x + half_px, y + half_px],
                        [x - half_px, y + half_px]])  # fmt: skip
    width_mm = 0.3 if kind == 'scratch' else None
    return make_mark(kind, 3.0, width_mm, confidence=confidence, centre_px=(x, y), outline_px=outline)


MARKS = (
    mark_at(640.0, 600.0, 'scratch', 0.97),
    mark_at(800.0, 500.0, 'chip', 0.9),
    mark_at(500.0, 400.0, 'bubble', 0.8),
    mark_at(450.0, 720.0, 'bruise', 0.6),
    mark_at(700.0, 850.0, 'dust', 0.7),
    mark_at(620.0, 300.0, 'chip', 0.4),
    mark_at(900.0, 640.0, 'chip', 0.1),
)


def square(x, y, half_px, reason='glare', area_ratio=0.02):
    polygon = np.array([[x - half_px, y - half_px], [x + half_px, y - half_px], [x + half_px, y + half_px],
                        [x - half_px, y + half_px]])  # fmt: skip
    return UnseenArea(reason, polygon, area_ratio, None)


UNSEEN = (square(740.0, 700.0, 40.0, 'window reflection', 0.013), square(560.0, 560.0, 20.0, 'glare', 0.003))


def grade_of(marks, diameters):
    return grade_piece(marks, diameters.max_mm, diameters.max_px, 0.05, RULES)


def overlay(marks=MARKS, unseen=UNSEEN, view=None, width_mm=70.0):
    view = make_view(card=FlatCard(11.4)) if view is None else view
    diameters = make_diameters(view, width_mm)
    return draw_overlay(view, marks, unseen, diameters, grade_of(marks, diameters))


def picture(marks=MARKS, unseen=(), view=None):
    """The picture with marks and the same part of the photo without, and the frame of both."""
    view = make_view(radius_px=560.0, size_px=(1700, 1700), centre_px=(850.0, 850.0)) if view is None else view
    diameters = make_diameters(view, None)
    shown = shown_marks(marks, grade_of(marks, diameters), range(1, len(marks) + 1))
    groups = shown_unseen(unseen)
    frame = frame_piece(view.outline.contour_px, ring_margin_u(len(shown) + len(groups)) + MARGIN_U)
    return draw_picture(view, shown, groups, diameters, frame), cut_picture(view.photo.rgb, frame), frame


def inside_piece(frame):
    rows, columns = np.indices((frame.shown_px, frame.shown_px))
    return np.hypot(columns - frame.centre[0], rows - frame.centre[1]) < frame.radius - 3.0 * frame.unit


def moved(marks, dx, dy):
    return tuple(mark_at(m.centre_px[0] + dx, m.centre_px[1] + dy, m.kind.value, m.confidence) for m in marks)


def test_the_same_findings_give_the_same_picture():
    np.testing.assert_array_equal(overlay(), overlay())


def test_the_glass_stays_visible():
    drawn, bare, frame = picture(moved(MARKS, 210.0, 250.0), (square(900.0, 900.0, 60.0),))
    glass = inside_piece(frame)
    same = (drawn == bare).all(axis=2)
    assert same[glass].mean() > 0.9


def test_a_mark_itself_is_not_drawn_over():
    """Inside its outline the glass is as photographed, but for leaders of others."""
    (chip,) = moved([MARKS[1]], 210.0, 250.0)
    drawn, bare, frame = picture([chip])
    x, y = frame.to_picture(np.array([chip.centre_px]))[0].astype(int)
    half = int(12 * frame.scale)
    part = np.s_[y - half : y + half + 1, x - half : x + half + 1]
    np.testing.assert_array_equal(drawn[part], bare[part])


def test_a_line_runs_round_each_mark_in_its_colour():
    (chip,) = moved([MARKS[1]], 210.0, 250.0)
    drawn, _, frame = picture([chip])
    x, y = frame.to_picture(np.array([chip.centre_px]))[0].astype(int)
    reach = int((12 + 15) * frame.scale)
    part = np.s_[y - reach : y + reach, x - reach : x + reach]
    near_colour = np.abs(drawn[part].astype(int) - COLOURS[MarkKind.CHIP]).sum(axis=2) < 30
    assert near_colour.sum() > 80


def test_a_possible_mark_is_dashed():
    """Its line covers less than that of a mark found at the same place."""
    counts = []
    for confidence in (0.9, 0.4):
        drawn, _, frame = picture([mark_at(850.0, 850.0, 'chip', confidence, half_px=60.0)])
        glass = inside_piece(frame)
        counts.append((np.abs(drawn.astype(int) - COLOURS[MarkKind.CHIP]).sum(axis=2) < 30)[glass].sum())
    assert counts[1] < 0.8 * counts[0]


def test_unseen_parts_are_hatched():
    area = square(850.0, 850.0, 100.0)
    drawn, bare, frame = picture([], [area])
    x, y = frame.to_picture(np.array([[850.0, 850.0]]))[0].astype(int)
    half = int(90 * frame.scale)
    part = np.s_[y - half : y + half, x - half : x + half]
    share = (drawn[part] != bare[part]).any(axis=2).mean()
    assert 0.1 < share < 0.3


def test_the_photo_is_not_changed():
    view = make_view()
    before = view.photo.rgb.copy()
    overlay(view=view, width_mm=None)
    np.testing.assert_array_equal(view.photo.rgb, before)


def test_a_piece_at_the_edge_of_the_photo_is_drawn():
    sheet = overlay(view=make_view(centre_px=(300.0, 600.0)), width_mm=None)
    assert sheet.dtype == np.uint8


@pytest.mark.parametrize('radius_px', [150.0, 560.0, 900.0])
def test_the_sheet_keeps_its_proportions(radius_px):
    side = int(2.4 * radius_px)
    view = make_view(radius_px, (side, side), (side / 2, side / 2))
    sheet = overlay((), (), view, None)
    height, width = sheet.shape[:2]
    assert 1300 <= height <= 2300
    assert 1.1 < width / height < 2.0


def test_marks_are_numbered_as_in_the_record_and_doubtful_ones_left_out():
    diameters = make_diameters(make_view())
    shown = shown_marks(MARKS, grade_of(MARKS, diameters), range(1, len(MARKS) + 1))
    assert [one.number for one in shown] == [1, 2, 3, 4, 5, 6]
    assert [one.is_possible for one in shown] == [False] * 5 + [True]
    dust = shown_marks([mark_at(0.0, 0.0, 'dust', 0.4)], grade_of(MARKS[:1], diameters), [1])
    assert dust == ()


def test_unseen_parts_share_a_letter_by_reason():
    groups = shown_unseen([*UNSEEN, square(1.0, 1.0, 1.0, 'glare', 0.02)])
    assert [(one.letter, one.reason, len(one.areas)) for one in groups] == [
        ('A', 'glare', 2),
        ('B', 'window reflection', 1),
    ]
    assert groups[0].area_ratio == pytest.approx(0.023)
    assert groups[0].areas[0].area_ratio == 0.02
    assert len(shown_unseen([square(0.0, 0.0, 1.0, f'reason {k}') for k in range(20)])) == len(UNSEEN_LETTERS)


def test_the_list_names_all_that_is_shown():
    diameters = make_diameters(make_view())
    shown = shown_marks(MARKS, grade_of(MARKS, diameters), range(1, len(MARKS) + 1))
    rows = legend_rows(shown, shown_unseen(UNSEEN), diameters.max_px, has_card=True)
    headings = [row.title for row in rows if row.is_heading]
    assert headings == ["Marks found", "Possible marks (dashed)", "Could not be seen here (hatched)", "Shapes"]
    assert sum(row.draw_tag is not None for row in rows) == 6 + 2 + 5
    assert rows[-1].details == "Clock positions: 12 is towards the card's top edge."


def test_the_list_of_a_clean_piece_without_card():
    rows = legend_rows((), (), 800.0, has_card=False)
    assert [row.title or row.details for row in rows] == [
        "Marks found",
        "No marks found on the glass that this photo shows.",
        "Clock positions: 12 is towards the top of the photo.",
        "No card in the photo, so no millimetres: sizes are shares of the largest width.",
    ]


def test_each_kind_has_a_shape_of_its_own():
    """Overlap of two shapes over their union: far from 1 for any two kinds, whatever their colours."""
    masks = {}
    for kind in MarkKind:
        canvas = Canvas(np.zeros((120, 120, 3), dtype=np.uint8))
        canvas.shape(60.0 + 40.0 * tag_outline(kind), (255, 255, 255), (255, 255, 255), 1.0)
        masks[kind] = canvas.rgb[..., 0] > 128
    for one in MarkKind:
        for other in MarkKind:
            if one < other:
                union = (masks[one] | masks[other]).sum()
                assert (masks[one] & masks[other]).sum() / union < 0.86, (one, other)


def test_a_possible_mark_has_a_white_tag():
    canvas = Canvas(np.zeros((120, 120, 3), dtype=np.uint8))
    text = draw_mark_tag(canvas, (60.0, 60.0), MarkKind.BUBBLE, '7', 1.5, is_possible=True)
    assert text.words == '7'
    assert canvas.rgb[60, 60].min() > 240


@pytest.mark.parametrize('turn_deg', [0.0, 30.0, 200.0])
def test_noon_is_the_cards_upper_edge(turn_deg):
    view = make_view(card=FlatCard(11.4, math.radians(turn_deg)))
    expected = math.radians(turn_deg - 90.0)
    assert math.cos(noon_direction(view) - expected) == pytest.approx(1.0)
    assert noon_direction(make_view()) == -math.pi / 2


def test_the_scale_bar_is_as_long_as_it_says():
    view = make_view(radius_px=560.0, size_px=(1700, 1700), centre_px=(850.0, 850.0))
    frame = frame_piece(view.outline.contour_px, 140.0)
    long, words = bar_length(make_diameters(view, 70.0), frame)
    assert words == "10 mm"
    assert long == pytest.approx(1120.0 * frame.scale / 7.0)
    long, words = bar_length(make_diameters(view, None), frame)
    assert words == "10 % of the width"
    assert long == pytest.approx(112.0 * frame.scale)


def test_corner_words_take_different_corners_and_leave_that_of_the_scale_bar():
    frame = frame_piece(make_view().outline.contour_px, 140.0)
    tails = np.array([frame.on_circle(3 * math.pi / 4, 30.0), frame.on_circle(-math.pi / 4, 30.0)])
    first, second = place_in_corners([(("a", "b"), tails), (("c", "d"), tails)], frame)
    boxes = [first.box, second.box, corner_box(("10 mm",), True, False, frame)]
    for i, one in enumerate(boxes):
        for other in boxes[:i]:
            assert one.x1 < other.x0 or other.x1 < one.x0 or one.y1 < other.y0 or other.y1 < one.y0


@pytest.mark.parametrize(('angles', 'middle'), [([0.0, 1.0], 1.0 + (2 * math.pi - 1.0) / 2), ([], -math.pi / 4)])
def test_widest_gap(angles, middle):
    assert widest_gap(angles) == pytest.approx(middle)


def test_marks_and_costs_must_belong_together():
    view = make_view()
    diameters = make_diameters(view)
    with pytest.raises(ValueError, match='7 marks, but the grade has costs of 2'):
        draw_overlay(view, MARKS, (), diameters, grade_of(MARKS[:2], diameters))


def test_a_review_is_drawn_rejected_marks_crossed_out():
    view, diameters = make_view(card=FlatCard(11.4)), make_diameters(make_view())
    grade = grade_of(MARKS, diameters)
    spoken = Spoken({1: "confirmed by AB", 7: "rejected by AB"}, frozenset({7}))
    shown = shown_marks(MARKS, grade, range(1, 8), spoken)
    assert [one.number for one in shown if one.is_rejected] == [7]
    rows = legend_rows(shown, (), 800.0, has_card=True)
    titles = [row.title for row in rows]
    assert titles.index("Rejected in the review (crossed out)") < titles.index("Shapes")
    assert "confirmed by AB" in next(row.details for row in rows if row.title.startswith("scratch"))
    plain = draw_overlay(view, MARKS, (), diameters, grade)
    drawn = draw_overlay(view, MARKS, (), diameters, grade, spoken=spoken)
    assert drawn.shape[1] == plain.shape[1]
    frame = frame_piece(view.outline.contour_px, ring_margin_u(len(shown)) + MARGIN_U)
    crossed = draw_picture(view, shown, (), diameters, frame)
    uncrossed = draw_picture(view, [replace(one, is_rejected=False) for one in shown], (), diameters, frame)
    x, y = np.round(frame.to_picture(np.array([[900.0, 640.0]]))[0]).astype(int)
    assert (crossed[y, x] > 200).all()
    assert not (uncrossed[y, x] > 200).all()
