"""Records of pieces photographed several times, made by hand: photo, record and study without any picture."""

from pathlib import Path

import numpy as np

from grader.grade.rules import load_rules
from grader.record import GradingRecord
from grader.study.layout import Shot
from tests.support.sample_record import SCRATCH, sample_record, width


def record_of(number: int, score: float, width_mm: float | None = 70.0, n_marks: int = 1) -> GradingRecord:
    """Record of a photo of its own, by its number."""
    plain = sample_record()
    name = f'{number:03}.jpg'
    rules = load_rules()
    score = round(score, 1)
    measurements = plain.measurements.model_copy(
        update={'diameter_max_mm': None if width_mm is None else width(width_mm, 0.6)}
    )
    return sample_record(
        photo=name,
        photos=(plain.photos[0].model_copy(update={'name': name, 'sha256': f'{number:064x}'}),),
        measurements=measurements,
        marks=(SCRATCH,) * n_marks,
        grade=plain.grade.model_copy(update={'score': score, 'band': rules.bands[rules.band_index(score)].name}),
    )


def invented_study(
    n_pieces: int = 4, setups: tuple[str, ...] = ('',), n_photos: int = 3, *, seed: int = 1, bias: float = 0.0
) -> list[tuple[Shot, GradingRecord]]:
    """Shots and records of pieces with scores, widths and marks drawn at random; the last set-up scores higher by a bias."""
    rng = np.random.default_rng(seed)
    found = []
    for piece in range(n_pieces):
        score, width_mm, n_marks = rng.uniform(40, 85), rng.uniform(50, 90), int(rng.integers(0, 6))
        for setup in setups:
            for _ in range(n_photos):
                number = len(found)
                shift = bias if setup == setups[-1] else 0.0
                record = record_of(
                    number,
                    score + rng.normal(0, 1.5) + shift,
                    width_mm + rng.normal(0, 0.1),
                    max(n_marks + int(rng.integers(-1, 2)), 0),
                )
                found.append((Shot(Path(f'{number:03}.json'), f'piece {piece}', setup), record))
    return found


def write_study(folder: Path, records: list[tuple[Shot, GradingRecord]]) -> Path:
    """Records in folders PIECE/SETUP, or PIECE where there is but one set-up."""
    for shot, record in records:
        place = folder / shot.piece / shot.setup
        place.mkdir(parents=True, exist_ok=True)
        (place / shot.path.name).write_text(record.to_json(), encoding='utf-8')
    return folder
