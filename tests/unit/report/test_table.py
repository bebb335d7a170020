"""The short table says what the record holds, in words for the owner."""

from grader.report.table import format_table
from tests.support.sample_record import sample_findings, sample_record

WHOLE_TABLE = """\
a.jpg
-----
Condition           light wear; score 86 of 100, between 80 and 91
Largest width       71.03 mm ± 0.62 mm (k = 2)
Smallest width      70.66 mm ± 0.61 mm (k = 2)
Could not be seen   10 % of the piece (ring reflection 4 %, too steep 6 %)

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


def test_several_photos():
    table = format_table(sample_record(other_findings=(sample_findings('b.jpg'),)))
    assert table.startswith("a.jpg (main photo: its size, marks and grade stand for the piece)\n---")
    assert "\nb.jpg (examined by itself, not part of the grade above)\n" in table


def test_lines_fit_the_screen():
    reasons = (
        "A long sentence about many marks that goes on and on for longer than any line of a terminal is wide, and then some more.",
    )
    grade = sample_findings().grade.model_copy(update={'reasons': reasons})
    assert max(len(line) for line in format_table(sample_record(grade=grade)).splitlines()) <= 96
