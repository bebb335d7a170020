"""Files of an examination: the record and an annotated picture of each photo."""

from collections.abc import Sequence
from pathlib import Path

from PIL import Image

from grader.constants import MARKED_JPEG_QUALITY
from grader.pipeline import Examination
from grader.report.overlay import draw_overlay

RECORD_NAME = 'record.json'


def write_results(examination: Examination, folder: Path) -> None:
    """Write the record and the annotated pictures into a folder."""
    (folder / RECORD_NAME).write_text(examination.record.to_json(), encoding='utf-8')
    for findings, name in zip(examination.findings, marked_names(examination), strict=True):
        picture = draw_overlay(findings.view, findings.marks, findings.unseen, findings.diameters, findings.grade)
        # Full colour resolution: thin coloured lines would fade at half.
        Image.fromarray(picture).save(folder / name, 'JPEG', quality=MARKED_JPEG_QUALITY, subsampling=0)


def marked_names(examination: Examination) -> list[str]:
    """File name of each photo's annotated picture, in the order of the findings."""
    names = [findings.view.photo.name for findings in examination.findings]
    return [f'{stem}.marked.jpg' for stem in unlike_stems(names)]


def unlike_stems(names: Sequence[str]) -> list[str]:
    """Short name for each file name, each used once: its stem, or more where others share that.

    Letter case does not tell names apart, since it does not on every disk.
    """
    stems = [Path(name).stem for name in names]
    taken: set[str] = set()
    short: list[str] = []
    for name, stem in zip(names, stems, strict=True):
        shared = [other.casefold() for other in stems].count(stem.casefold()) > 1
        wanted = name if shared else stem
        number, free = 1, wanted
        while free.casefold() in taken:
            number += 1
            free = f'{wanted}-{number}'
        taken.add(free.casefold())
        short.append(free)
    return short
