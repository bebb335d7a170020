"""The short table says what the record holds, in words for the owner."""

from grader.report.table import format_table
from tests.support.sample_record import sample_findings, sample_record, sample_set_record

WHOLE_TABLE = """\
a.jpg
-----
Condition           light wear; score 86 of 100, between 80 and 91
Largest width       71.03 mm ± 0.62 mm (k = 2)
Smallest width      70.66 mm ± 0.61 mm (k = 2)
Could not be seen   10 % of the piece (ring reflection 4 %, too steep 6 %)
Photo               usable; smallest marks that show: scratches from 0.12 mm wide; chips from
                    0.40 mm across

No.  Mark     Size                       Where                           How sure
1    scratch  5.1 mm long, 0.20 mm wide  on the shoulder near 4 o'clock  very likely (93 %)

Why this grade:
- 1 scratch costs about 7 points.

Please note:
- The picture does not show the whole card.
"""


def test_whole_table():
    assert format_table(sample_record()) == WHOLE_TABLE


def test_clean_piece():
    table = format_table(sample_record(marks=(), unseen=(), unseen_ratio=0.0, flags=()))
    assert "No mark was found." in table
    assert "Could not be seen   nothing of this side" in table
    assert "Please note" not in table


def test_without_a_card():
    measurements = sample_findings().measurements.model_copy(update={'diameter_max_mm': None, 'diameter_min_mm': None})
    assert "Width               710 x 707 px; no millimetres without a card" in format_table(
        sample_record(measurements=measurements)
    )


SET_TABLE = """\
One piece in 2 photos, the main one a.jpg
-----------------------------------------
Condition           light wear; score 86 of 100, between 80 and 91
Largest width       71.03 mm ± 0.62 mm (k = 2)
Smallest width      70.66 mm ± 0.61 mm (k = 2)
Seen                40 % of the dome by at least one photo (crown 98 %, rim 25 %); nothing is
                    said of the rest, nor of the underside

No.  Mark     Size                       Where                           Depth         Photos  How sure
1    scratch  5.1 mm long, 0.20 mm wide  on the shoulder near 4 o'clock  on the glass  2 of 2  93 %

Photo  Piece turned by  Shows of the dome  Marks by itself  Quality
a.jpg  0 degrees        38 %               1                usable
b.jpg  not known        not related        1                usable

Why this grade:
- 1 scratch costs about 7 points.

Please note:
- The picture does not show the whole card.
"""


def test_several_photos():
    record = sample_set_record()
    assert format_table(record) == SET_TABLE


def test_lines_fit_the_screen():
    reasons = (
        "A long sentence about many marks that goes on and on for longer than any line of a terminal is wide, and then some more.",
    )
    grade = sample_findings().grade.model_copy(update={'reasons': reasons})
    assert max(len(line) for line in format_table(sample_record(grade=grade)).splitlines()) <= 96
