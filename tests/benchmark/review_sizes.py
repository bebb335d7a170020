"""Sizes of marks that a person draws, against the truth of rendered photos.

    python tests/benchmark/review_sizes.py PHOTOS [--every N] [--start K]

The true outline (of a scratch: its middle line) is drawn as by a hand that misses each point by a px, and measured on
the glass, fitted to the photo and taken from what a record holds. Photos from above with a card only.
"""

import argparse
import json
from dataclasses import replace
from pathlib import Path

import numpy as np

from calib.errors import ActionableError
from calib.measured import Measured
from grader.outline.dome_view import NoCard
from grader.outline.height import UsualShape
from grader.outline.judge_height import judge_height
from grader.outline.side_view import is_side_view
from grader.outline.surface import fit_surface
from grader.photos.load import load_photo
from grader.pipeline import see_photo
from grader.review.acts import Drawing
from grader.review.drawing_ground import DrawingGround
from grader.review.mark_of_facts import blank_mark, with_drawing
from grader.review.measure_drawing import measure_drawing
from grader.settings import Settings
from grader.size.diameter import measure_diameters
from tests.benchmark.mark_truth import is_asked_for

HAND_PX = 1.0
MOST_POINTS_BY_HAND = 24


def grounds_of(path: Path) -> dict[str, DrawingGround]:
    """The glass of a photo, from the photo and from a record; none where the photo is not from above with a card."""
    view = see_photo(load_photo(path, Settings().photos), Settings())
    if isinstance(view.card, NoCard) or is_side_view(view.card):
        return {}
    height = judge_height(view.photo.rgb, view.card, view.outline, UsualShape())
    diameters = measure_diameters(view, height)
    exact = fit_surface(view.outline, view.card, height)
    by_photo = DrawingGround(path.name, view.photo.size_px, exact, Measured(1.0), None, 0.0, False, 'photo')
    eye_mm = float(view.card.camera_position_mm[2]) - diameters.ring.ring_mm
    rough = fit_surface(view.outline, NoCard('left out'), UsualShape())
    by_record = replace(by_photo, surface=rough, unit_mm=diameters.max_mm, eye_mm=eye_mm, source='record')
    return {'photo': by_photo, 'record': by_record}


def drawing_of(mark: dict, rng: np.random.Generator) -> Drawing:
    """A true mark as a hand draws it."""
    is_line = 'polyline_px' in mark
    points = np.asarray(mark['polyline_px'] if is_line else mark['polygon_px'], dtype=float)
    keep = np.unique(np.linspace(0, len(points) - 1, min(len(points), MOST_POINTS_BY_HAND)).round().astype(int))
    drawn = points[keep] + rng.normal(0.0, HAND_PX, (len(keep), 2))
    return Drawing(shape='line' if is_line else 'outline', points_px=tuple(map(tuple, drawn)))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument('photos', type=Path)
    parser.add_argument('--every', type=int, default=1, help='look at each Nth photo only')
    parser.add_argument('--start', type=int, default=0, help='begin with this photo')
    args = parser.parse_args()
    rng = np.random.default_rng(7)
    rows: dict[tuple[str, str], list[tuple[float, bool]]] = {}
    paths = [path for path in sorted(args.photos.iterdir()) if path.suffix in ('.jpg', '.png')]
    for path in paths[args.start :: args.every]:
        truth = json.loads(path.with_suffix('.json').read_text(encoding='utf-8'))
        try:
            grounds = grounds_of(path)
        except ActionableError as err:
            print(err)
            continue
        for mark in filter(is_asked_for, truth['marks']):
            drawing = drawing_of(mark, rng)
            for source, ground in grounds.items():
                add_row(rows, source, mark, drawing, ground)
    print(f"{'kind':10}{'glass from':12}{'marks':>6}{'bias':>8}{'median error':>14}{'within U (k = 2)':>18}")
    for (kind, source), found in sorted(rows.items()):
        errors = np.array([error for error, _ in found])
        inside = np.mean([held for _, held in found])
        print(
            f'{kind:10}{source:12}{len(found):6}{np.median(errors):8.1%}{np.median(np.abs(errors)):14.1%}{inside:18.0%}'
        )


def add_row(rows: dict, source: str, mark: dict, drawing: Drawing, ground: DrawingGround) -> None:
    """Measure one drawing; drawings that a review would refuse (too small, crossing themselves) are left out."""
    try:
        drawn = measure_drawing(drawing, ground)
    except ActionableError:
        return
    facts = with_drawing(blank_mark(1, mark['kind']), drawn, False, 1.0)
    name = 'length_mm' if mark['kind'] == 'scratch' else 'diameter_mm'
    value, u, true = getattr(facts, name), getattr(facts, f'u_{name}'), mark[name]
    rows.setdefault((mark['kind'], source), []).append((value / true - 1, abs(value - true) <= 2 * u))


if __name__ == '__main__':
    main()
