"""Two close-ups of one drawn field in two lights: what each shows, told once."""

import cv2
import numpy as np
import pytest

from grader.marks.close_up import CloseUpKind, find_marks_in_two_lights, may_be_one_field
from grader.marks.close_up_ground import see_ground
from grader.marks.close_up_register import register
from tests.support.scratched_glass import as_photo, clean_glass, coverage_of, with_line, with_spot, with_track

LINE = ((60, 250), (260, 90))
TRACK = ((50, 60), (250, 70))
SURE = 0.8


def sure(front, behind):
    return [s for s in find_marks_in_two_lights(as_photo(front), as_photo(behind)) if s.mark.confidence >= SURE]


def test_what_one_light_shows_is_told_and_where_it_was_seen():
    marks = sure(with_line(clean_glass(1), *LINE, 3.0, 30), with_spot(clean_glass(2), (250, 250), 9, -40))
    assert {(s.mark.kind, s.in_first, s.in_other) for s in marks} == {
        (CloseUpKind.SCRATCH, True, False),
        (CloseUpKind.SPOT, False, True),
    }


def test_what_both_show_is_one_mark():
    marks = sure(with_spot(clean_glass(1), (150, 150), 9, 40), with_spot(clean_glass(2), (150, 150), 7, -40))
    assert [(s.in_first, s.in_other) for s in marks] == [(True, True)]


def test_a_pit_in_a_scratch_stays_a_mark_of_its_own():
    marks = sure(with_line(clean_glass(1), *LINE, 4.0, 12), with_spot(clean_glass(2), (160, 170), 11, -90))
    assert [s.mark.kind for s in marks][:2] == [CloseUpKind.SPOT, CloseUpKind.SCRATCH]


@pytest.mark.parametrize(
    ('behind_code', 'kind'), [(-25, CloseUpKind.CONTUSION), (0, CloseUpKind.SCRATCH)], ids=['dark behind', 'not']
)
def test_a_broad_mark_is_a_contusion_if_it_darkens_the_light_from_behind(behind_code, kind):
    front = with_track(clean_glass(3), *TRACK, 30, 20, seed=6)
    behind = with_track(clean_glass(4), *TRACK, 26, behind_code, seed=6)
    assert sure(front, behind)[0].mark.kind is kind


def test_the_fuller_outline_is_told():
    front = with_line(clean_glass(1), *LINE, 4.0, 25)
    behind = with_line(clean_glass(2), *LINE, 2.0, -60)
    mark = sure(front, behind)[0].mark
    assert coverage_of(mark.polygon_px, *LINE) > 0.95


def field(seed, sign):
    """A field rich in marks, so that two photos of it can be laid over each other."""
    rng = np.random.default_rng(seed)
    grey = clean_glass(seed if sign > 0 else seed + 1000, (400, 400))
    for _ in range(25):
        grey = with_spot(grey, rng.uniform(40, 360, 2), rng.uniform(4, 10), sign * 40)
    return grey


def test_photos_that_lie_over_each_other_are_not_moved():
    registration = register(see_ground(as_photo(field(5, 1))), see_ground(as_photo(field(5, -1))))
    assert not registration.is_moved
    np.testing.assert_array_equal(registration.to_first, np.eye(2, 3))


def test_photos_of_different_glass_are_not_moved():
    assert not register(see_ground(as_photo(field(5, 1))), see_ground(as_photo(field(77, -1)))).is_moved


@pytest.mark.parametrize('turn_deg', [0.0, 0.4], ids=['shift', 'shift and turn'])
def test_a_moved_photo_is_laid_back(turn_deg):
    to_first = cv2.getRotationMatrix2D((200, 200), turn_deg, 1.0)
    to_first[:, 2] += (11.0, -7.0)
    moved = cv2.warpAffine(
        as_photo(field(5, -1)), cv2.invertAffineTransform(to_first), (400, 400), borderMode=cv2.BORDER_REFLECT
    )
    registration = register(see_ground(as_photo(field(5, 1))), see_ground(moved))
    corners = np.array([[40, 40, 1], [360, 40, 1], [200, 360, 1]])
    assert registration.is_moved
    # a reduced pixel is two; the evidence is blurred over as much
    assert np.abs(corners @ (registration.to_first - to_first).T).max() < 1.5
    marks = find_marks_in_two_lights(as_photo(field(5, 1)), moved)
    both = [s for s in marks if s.mark.confidence >= SURE and s.in_first and s.in_other]
    assert len(both) >= 20


def test_photos_of_unlike_shape_are_refused():
    wide, tall = np.zeros((100, 150, 3), np.uint8), np.zeros((150, 100, 3), np.uint8)
    assert not may_be_one_field(wide, tall)
    with pytest.raises(ValueError, match='of like shape'):
        find_marks_in_two_lights(wide, tall)


def test_a_second_photo_of_another_size_is_brought_to_the_first():
    front = as_photo(with_line(clean_glass(1), *LINE, 3.0, 30))
    behind = cv2.resize(as_photo(with_spot(clean_glass(2), (250, 250), 9, -60)), (480, 480))
    spot = next(s for s in find_marks_in_two_lights(front, behind) if s.mark.kind is CloseUpKind.SPOT)
    assert spot.mark.polygon_px.mean(axis=0) == pytest.approx((250, 250), abs=2)


def test_the_answer_repeats():
    front, behind = as_photo(field(5, 1)), as_photo(field(5, -1))
    one, two = (find_marks_in_two_lights(front, behind) for _ in range(2))
    assert [s.mark.salience for s in one] == [s.mark.salience for s in two]
    assert all(np.array_equal(a.mark.polygon_px, b.mark.polygon_px) for a, b in zip(one, two, strict=True))


def test_tiny_photos_have_no_marks():
    tiny = np.zeros((10, 10, 3), np.uint8)
    assert find_marks_in_two_lights(tiny, tiny) == ()
