"""What the owner reads after a check."""

from grader.report.check_table import faulty_table, quality_table, views_table
from tests.support.sample_record import QUALITY

TABLE = """\
a.jpg
-----
What it is      from above
Sharpness       edges of the card spread over 0.9 px (0.10 mm); 74 edges read
Light           white paper at 60 % of white; of the piece 1 % pure white, 0 % nearly black, 2 %
                under mirrored lamps, grain 0.4 % of white
Scale           9.0 px a millimetre; camera 2 degrees from straight above; 100 % of the rim in
                the picture
Shows           scratches from 0.12 mm wide; chips from 0.40 mm across
a.jpg: usable"""


def test_a_good_photo():
    assert quality_table('a.jpg', QUALITY) == TABLE


def test_advice_and_doubts_stand_before_the_verdict():
    quality = QUALITY.model_copy(
        update={'advice': ("Hold still.",), 'doubts': ("The base.",), 'verdict': 'take it again', 'blur_px': None,
                'px_per_mm': None, 'paper_light': 1.2}
    )  # fmt: skip
    table = quality_table('a.jpg', quality)
    assert table.endswith(
        "What to know, and how to take it again:\n- Hold still.\nNot judged:\n- The base.\na.jpg: take it again"
    )
    assert "Sharpness       could not be told" in table
    assert "Scale           not told without a card" in table
    assert "white paper over-exposed" in table


def test_a_photo_that_cannot_be_examined():
    assert faulty_table('b.jpg', "b.jpg: no piece.", "Step back.") == (
        "b.jpg\n-----\nb.jpg: no piece. Step back.\nb.jpg: take it again"
    )


def test_views():
    assert views_table([("the base", 'not told', "Look."), ("close-ups", 'yes', '')]) == (
        "Views of the piece\n- not told: the base. Look.\n- there: close-ups."
    )
