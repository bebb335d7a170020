"""A comparison made by hand, with small pictures, for tests that need one and none of the work that leads to it."""

import hashlib
import io
from pathlib import Path

from PIL import Image

from grader.comparison import (
    ChangeFacts,
    ComparedPhoto,
    Comparison,
    GroundFacts,
    LookFacts,
    MatchFacts,
    SamePieceFacts,
    ScaleFacts,
    SeenFacts,
    SharedView,
    SideFacts,
)
from grader.record import GradingRecord
from grader.report.page_pictures import (
    PICTURES_FILE,
    PICTURES_FOLDER,
    PageCloseUp,
    PageDetail,
    PageLine,
    PagePictures,
    PageViewer,
)
from tests.support.sample_record import sample_record

LOOK = LookFacts(
    verdict='would have been seen', probability=0.97, photo='a.jpg', centre_px=(35.0, 21.0), size_px=2.0,
    smallest_px=1.0, reasons=(), words="Would show in the earlier photo, and it was not there.",
)  # fmt: skip


def side(record: GradingRecord) -> SideFacts:
    """All photos of a record, as a side that was given as that record."""
    photos = tuple(
        ComparedPhoto(
            photo=photo, card=record.card, is_from_above=True, turn_deg=0.0, u_turn_deg=0.1, turn_probability=1.0,
            turn_basis="main", width_px=710.3, outline_px=record.outline_px, mm_per_px=0.1, u_mm_per_px=0.001,
            smallest_words="scratches from 0.12 mm wide", verdict='usable',
        )
        for photo in record.photos
    )  # fmt: skip
    return SideFacts(
        given_as='record', record_name='record.json', record_made_at=record.made_at, settings=record.settings,
        photos=photos, left_out=(), faults=(), scale=ScaleFacts(source='card', words="by the card"),
        diameter_max_mm=record.measurements.diameter_max_mm, flags=(),
    )  # fmt: skip


def change(number: int = 1, **changes: object) -> ChangeFacts:
    """A new scratch where the sample record's scratch is."""
    outline = ((10.0, 20.0), (60.5, 20.25), (60.5, 22.0))
    fields = {
        'number': number, 'change': 'new', 'kind': 'scratch', 'confidence': 0.9, 'mark_confidence': 0.93,
        'side': 'after', 'photo': 'a.jpg', 'outline_px': outline, 'best_photo': 'a.jpg', 'length_px': 50.5,
        'width_px': 2.0, 'diameter_px': 11.3, 'length_mm': 5.05, 'u_length_mm': 0.11, 'clock_h': 4.1,
        'zone': 'shoulder', 'size_words': "5.1 mm long", 'place_words': "on the shoulder near 4 o'clock",
        'change_words': "new", 'grown_words': '', 'earlier': LOOK,
        'seen_in': (SeenFacts(side='after', photo='a.jpg', outline_px=outline),), 'flags': (),
    }  # fmt: skip
    return ChangeFacts(**{**fields, **changes})


def sample_comparison(
    before: GradingRecord | None = None, after: GradingRecord | None = None, **changes: object
) -> Comparison:
    earlier, later = before or sample_record(), after or sample_record()
    matches = (
        MatchFacts(before_photo='a.jpg', after_photo='a.jpg', before_px=(50, 50), after_px=(51, 50), likeness=0.9),
    )
    fields = {
        'made_at': '',
        'versions': later.versions,
        'before': side(earlier),
        'after': side(later),
        'same_piece': SamePieceFacts(
            probability=0.98, verdict='same piece', design='rich',
            words="Both sides show the same piece (probability 98 %).",
            grounds=(GroundFacts(name='design', words="The pattern agrees in 40 of 42 places", log_odds=6.0),),
            matches=matches,
        ),
        'changes': (change(),),
        'shared_view': SharedView(both_ratio=0.4, before_ratio=0.5, after_ratio=0.5, bands=()),
        'stated_sizes': (),
        'summary': ("Both sides show the same piece (probability 98 %).", "1 mark is new: 1 scratch (number 1)."),
        'flags': (),
    }  # fmt: skip
    return Comparison(**{**fields, **changes})


def sample_pictures(comparison: Comparison | None = None) -> PagePictures:
    line = PageLine(number=1, change='new', is_possible=False, points=((10, 20), (60, 20), (60, 30)))
    return PagePictures(
        comparison_sha256=hashlib.sha256((comparison or sample_comparison()).to_json().encode()).hexdigest(),
        viewer=PageViewer(
            earlier='earlier.jpg', later='later.jpg', earlier_photo='a.jpg', later_photo='a.jpg', side_px=100,
            piece_px=94.0, is_from_above=True, gain=1.2, lines=(line,),
        ),
        close_ups=(PageCloseUp(number=1, earlier='change-1-earlier.jpg', later='change-1-later.jpg',
                               earlier_photo='a.jpg', later_photo='a.jpg'),),
        details=(PageDetail(letter='A', is_alike=True, likeness=0.9, earlier='detail-a-earlier.jpg',
                            later='detail-a-later.jpg'),),
    )  # fmt: skip


def jpeg(side_px: int = 100, grey: int = 90) -> bytes:
    data = io.BytesIO()
    Image.new('RGB', (side_px, side_px), (grey, grey, grey + 20)).save(data, 'JPEG')
    return data.getvalue()


def comparison_folder(folder: Path, comparison: Comparison | None = None) -> Path:
    """Folder as ``grader compare --out`` makes it."""
    (folder / PICTURES_FOLDER).mkdir(parents=True)
    (folder / 'comparison.json').write_text((comparison or sample_comparison()).to_json(), encoding='utf-8')
    (folder / 'comparison.html').write_text('<!DOCTYPE html><title>x</title>', encoding='utf-8')
    (folder / 'comparison.jpg').write_bytes(jpeg(200))
    facts = sample_pictures(comparison)
    (folder / PICTURES_FOLDER / PICTURES_FILE).write_text(facts.to_json(), encoding='utf-8')
    for name in facts.names:
        (folder / PICTURES_FOLDER / name).write_bytes(jpeg(grey=60 if 'earlier' in name else 120))
    return folder
