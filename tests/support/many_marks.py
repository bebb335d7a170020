"""An examination with many marks on a large photo, for measuring how smoothly its page moves."""

import hashlib
import math
from pathlib import Path

import numpy as np
from PIL import Image

from grader.collection.examinations import EXAMINATIONS_FOLDER
from grader.record import MarkFacts, PhotoFacts, UnseenFacts
from grader.review.acts import KINDS
from tests.support.collections import add, new_collection
from tests.support.reviewed import found_mark, round_record

SIZE_PX = (4000, 3000)
CENTRE_PX, RADIUS_PX = (2000.0, 1500.0), 1300.0


def ring(centre, radius_px, n_points, rng=None, *, squeeze=1.0, turn=0.0):
    """Closed outline round a place; with `rng` as uneven as those of the record."""
    angles = 2 * math.pi * np.arange(n_points) / n_points
    uneven = 1.0 if rng is None else rng.uniform(0.75, 1.25, n_points)
    x, y = radius_px * uneven * np.cos(angles), squeeze * radius_px * uneven * np.sin(angles)
    turned = np.column_stack([x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)])
    return tuple(map(tuple, np.round(np.asarray(centre) + turned, 2)))


def many_marks(n_marks: int, seed: int = 11) -> tuple[MarkFacts, ...]:
    """Marks of all kinds and of usual sizes, all over the piece."""
    rng = np.random.default_rng(seed)
    marks = []
    for number in range(1, n_marks + 1):
        reach, angle = RADIUS_PX * math.sqrt(rng.uniform(0, 0.9)), rng.uniform(0, 2 * math.pi)
        centre = (CENTRE_PX[0] + reach * math.cos(angle), CENTRE_PX[1] + reach * math.sin(angle))
        kind = KINDS[number % len(KINDS)]
        radius_px, squeeze = (rng.uniform(40, 160), 0.08) if kind == 'scratch' else (rng.uniform(6, 45), 0.8)
        outline = ring(centre, radius_px, 60, rng, squeeze=squeeze, turn=angle)
        confidence = float(rng.uniform(0.3, 0.99))
        fields = {'outline_px': outline, 'centre_px': centre}
        marks.append(found_mark(number, kind, confidence, reach / RADIUS_PX, (angle * 6 / math.pi) % 12, **fields))
    return tuple(marks)


def large_photo(path: Path, seed: int = 12) -> None:
    """JPEG of 12 megapixels, as detailed as a photo."""
    width, height = SIZE_PX
    rng = np.random.default_rng(seed)
    coarse = rng.integers(0, 256, (height // 40, width // 40, 3)).astype(np.uint8)
    rgb = np.asarray(Image.fromarray(coarse).resize(SIZE_PX, Image.Resampling.BICUBIC)).astype(np.int16)
    rgb = rgb + rng.integers(-12, 13, rgb.shape)
    Image.fromarray(np.clip(rgb, 0, 255).astype(np.uint8)).save(path, quality=92)


def piece_with_many_marks(folder: Path, n_marks: int) -> tuple[Path, str]:
    """Collection with one such examination: its folder, and the page's address."""
    place = new_collection(folder)
    piece = add(place, {'title': "Weight with many marks"})
    target = piece.folder / EXAMINATIONS_FOLDER / '0001'
    (target / 'photos').mkdir(parents=True)
    path = target / 'photos' / 'large.jpg'
    large_photo(path)
    data = path.read_bytes()
    facts = PhotoFacts(
        name='large.jpg', sha256=hashlib.sha256(data).hexdigest(), file_format='JPEG', width_px=SIZE_PX[0],
        height_px=SIZE_PX[1], bit_depth=8, n_bytes=len(data), taken_at='', camera='',
    )  # fmt: skip
    rim = ring(CENTRE_PX, RADIUS_PX, 180) + ring(CENTRE_PX, 0.93 * RADIUS_PX, 180)[::-1]
    unseen = (
        UnseenFacts(reason='too steep', polygon_px=rim, area_ratio=0.08),
        UnseenFacts(reason='ring reflection', polygon_px=ring((1800, 1300), 220, 90), area_ratio=0.03),
    )
    record = round_record(
        photo='large.jpg', photos=(facts,), unseen=unseen, photo_set=None, other_findings=(),
        marks=many_marks(n_marks), outline_px=ring(CENTRE_PX, RADIUS_PX, 720),
    )  # fmt: skip
    (target / 'record.json').write_text(record.to_json(), encoding='utf-8')
    return place.root, f'/pieces/{piece.piece.id}/examinations/1'
