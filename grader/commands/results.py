"""Files of an examination: the record and an annotated picture of each photo."""

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from PIL import Image

from calib.arrays import RgbImage
from grader.constants import MARKED_JPEG_QUALITY
from grader.marks.mark import Mark
from grader.pipeline import Examination
from grader.quality.advice import smallest_words
from grader.report.overlay import draw_overlay
from grader.sets.judge_track import SeenIn, SetMark

RECORD_NAME = 'record.json'


def write_results(examination: Examination, folder: Path) -> None:
    """Write the record and the annotated pictures into a folder."""
    (folder / RECORD_NAME).write_text(examination.record.to_json(), encoding='utf-8')
    for k, name in enumerate(marked_names(examination)):
        picture = annotated_picture(examination, k)
        # Full colour resolution: thin coloured lines would fade at half.
        Image.fromarray(picture).save(folder / name, 'JPEG', quality=MARKED_JPEG_QUALITY, subsampling=0)


def annotated_picture(examination: Examination, k: int) -> RgbImage:
    """Annotated picture of photo `k`; in a set with the marks of the piece that it shows, by their common numbers."""
    findings, together = examination.findings[k], examination.together
    photo_line = f"Smallest marks that show: {smallest_words(findings.quality.smallest)}."
    if together is None:
        return draw_overlay(
            findings.view,
            findings.marks,
            findings.unseen,
            findings.diameters,
            findings.grade,
            photo_line=photo_line,
        )
    numbers, marks = [], []
    for number, one in enumerate(together.marks, start=1):
        for seen in one.seen_in:
            if seen.photo == k:
                numbers.append(number)
                marks.append(shown_in(one, seen, together.turns[k].turn_rad))
    return draw_overlay(
        findings.view,
        marks,
        findings.unseen,
        findings.diameters,
        together.grade,
        numbers,
        photo_line=photo_line,
        close_up_of=findings.close_up_of,
    )


def shown_in(one: SetMark, seen: SeenIn, turn_rad: float) -> Mark:
    """A mark of the piece where one photo shows it: outline and clock as there, sizes as in its best photo."""
    x_px, y_px = seen.outline_px.mean(axis=0) if seen.own is None else seen.own.centre_px
    clock_h = one.mark.clock_h
    here_h = None if clock_h is None else (clock_h - turn_rad * 6 / math.pi) % 12 % 12
    return replace(one.mark, outline_px=seen.outline_px, centre_px=(float(x_px), float(y_px)), clock_h=here_h)


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
