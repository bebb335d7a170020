"""A close-up finds its place on a photo of the whole piece by what both show."""

from pathlib import Path

import cv2
import numpy as np
import pytest

from grader.outline.dome_view import NoCard
from grader.outline.moved_eye import inverse_of, move_points
from grader.photos.load import load_photo
from grader.pipeline import examine_photos, see_photo
from grader.progress import SilentProgress
from grader.sets.close_up_place import place_close_up
from grader.settings import PhotoLimits, Settings

FOLDER = Path(__file__).parents[3] / 'fixtures' / 'photos'
WHOLE = FOLDER / 'canes-worn.jpg'


@pytest.fixture(scope='module')
def whole():
    return see_photo(load_photo(WHOLE, PhotoLimits()), Settings())


def close_up_of(view, folder, turn_deg=0.0, scale=2.5, size_px=900):
    """A close-up of the piece's middle as a file, and the map from its px to those of the whole."""
    x, y = view.outline.contour_px.mean(axis=0)
    angle = np.radians(turn_deg)
    linear = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]]) / scale
    middle = (size_px - 1) / 2
    affine = np.column_stack([linear, np.array([x, y]) - linear @ [middle, middle]])
    rgb = cv2.warpAffine(
        np.asarray(view.photo.rgb), affine, (size_px, size_px), flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP
    )
    path = folder / f'close-up-{turn_deg:.0f}.png'
    cv2.imwrite(str(path), rgb[:, :, ::-1])
    return path, affine


@pytest.mark.parametrize('turn_deg', [0.0, 37.0, 180.0])
def test_a_close_up_is_laid_where_it_was_taken(whole, tmp_path, turn_deg):
    path, affine = close_up_of(whole, tmp_path, turn_deg)
    placed = place_close_up(load_photo(path, PhotoLimits()), [whole])
    assert placed is not None
    corners = np.array([[0.0, 0.0], [899.0, 0.0], [899.0, 899.0], [0.0, 899.0]])
    assert np.abs(move_points(corners, placed.to_whole) - move_points(corners, affine)).max() < 2.0


def test_another_piece_has_no_place_for_it(whole, tmp_path):
    path, _ = close_up_of(whole, tmp_path)
    other = see_photo(load_photo(FOLDER / 'egg.jpg', PhotoLimits()), Settings())
    assert place_close_up(load_photo(path, PhotoLimits()), [other]) is None


def test_the_whole_itself_is_no_close_up(whole):
    assert place_close_up(whole.photo, [whole]) is None


def test_pixels_of_a_close_up_see_the_glass_of_the_whole(whole, tmp_path):
    path, affine = close_up_of(whole, tmp_path, 37.0)
    found = examine_photos([WHOLE, path], Settings(), now=None, progress=SilentProgress()).findings
    main, close_up = found
    assert close_up.close_up_of == 'canes-worn.jpg'
    assert isinstance(close_up.view.card, NoCard)
    points_px = np.array([[450.0, 450.0], [300.0, 520.0], [610.0, 400.0]])
    here = close_up.surface.locate(points_px).points_mm
    there = main.surface.locate(move_points(points_px, affine)).points_mm
    assert here == pytest.approx(there, abs=0.3)
    assert close_up.surface.eye.project(here) == pytest.approx(points_px, abs=0.01)


def test_maps_can_be_undone():
    affine = np.array([[0.3, -0.1, 40.0], [0.12, 0.28, -7.0]])
    points_px = np.array([[0.0, 0.0], [100.0, 30.0]])
    assert move_points(move_points(points_px, affine), inverse_of(affine)) == pytest.approx(points_px)


def test_marks_of_a_close_up_join_those_of_the_whole(whole, tmp_path):
    path, _ = close_up_of(whole, tmp_path)
    together = examine_photos([path, WHOLE], Settings(), now=None, progress=SilentProgress())
    assert together.record.photo == 'canes-worn.jpg'
    assert all(turn.is_sure for turn in together.together.turns)
    joined = [mark for mark in together.together.marks if len({seen.photo for seen in mark.seen_in}) == 2]
    assert any(mark.mark.confidence > 0.9 for mark in joined)


def test_photos_of_one_name_keep_their_own_turns(whole, tmp_path):
    (tmp_path / 'a').mkdir()
    (tmp_path / 'b').mkdir()
    paths = [tmp_path / 'a' / 'one.jpg', tmp_path / 'b' / 'one.jpg']
    demo = FOLDER.parents[1] / 'grader' / 'demo_photos'
    for path, name in zip(paths, ('demo-coaxial.jpg', 'demo-low.jpg'), strict=True):
        path.write_bytes((demo / name).read_bytes())
    together = examine_photos(paths, Settings(), now=None, progress=SilentProgress()).together
    assert np.degrees([turn.turn_rad for turn in together.turns]) == pytest.approx([0.0, 93.8], abs=2.0)
