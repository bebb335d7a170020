"""Makes one record for each set of photos in a folder, named like the set, for scoring with known truth.

    python -m tests.benchmark.set_records PHOTOS OUT [--tell-wiped] [--only NAME ...]

Photos belong to one set if their names begin alike up to the third hyphen: ``sets-open-1-low.jpg`` and
``sets-open-1-wiped.jpg`` make ``OUT/sets-open-1.json``. Names of one photo alone are passed over. With ``--tell-wiped``
the program is told which photos were taken after wiping, as an owner would: all of a set but the one that ends in
``-dusty``. Without it nothing is told, and the names mean nothing to it.
"""

import argparse
from collections import defaultdict
from pathlib import Path

from grader.photos.load import PHOTO_SUFFIXES
from grader.pipeline import examine_photos
from grader.progress import SilentProgress
from grader.settings import SetSettings, Settings

SET_WORDS = 3
SET_KINDS = ('sets', 'views')


def main() -> None:
    """Examine each set of the folder and write its record."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('photos', type=Path)
    parser.add_argument('out', type=Path)
    parser.add_argument('--tell-wiped', action='store_true')
    parser.add_argument('--only', nargs='*')
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    for name, paths in sets_in(options.photos).items():
        if options.only and name not in options.only:
            continue
        settings = Settings(sets=SetSettings(wiped=wiped_of(paths) if options.tell_wiped else ()))
        examination = examine_photos(paths, settings, now=None, progress=SilentProgress())
        (options.out / f'{name}.json').write_text(examination.record.to_json(), encoding='utf-8')
        print(name, len(paths), 'photos,', examination.record.grade.headline, flush=True)


def sets_in(folder: Path) -> dict[str, list[Path]]:
    """Photos of each set by its name."""
    groups: dict[str, list[Path]] = defaultdict(list)
    for path in sorted(folder.iterdir()):
        words = path.stem.split('-')
        if path.suffix.lower() in PHOTO_SUFFIXES and words[0] in SET_KINDS:
            groups['-'.join(words[:SET_WORDS])].append(path)
    return {name: paths for name, paths in groups.items() if len(paths) > 1}


def wiped_of(paths: list[Path]) -> tuple[str, ...]:
    """Names of the photos after wiping, where the set has one before."""
    after = tuple(path.name for path in paths if not path.stem.endswith('-dusty'))
    return after if len(after) < len(paths) else ()


if __name__ == '__main__':
    main()
