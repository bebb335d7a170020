"""The study itself: readings, layout, words, file and schema."""

import json
from pathlib import Path

import jsonschema
import pytest

from grader.errors import ImportFaulty, PhotoSetUnusable, RecordUnreadable, SettingsInvalid
from grader.record import PhotoSetFacts, SeenInFacts
from grader.report.study_page import study_page
from grader.report.study_plot import study_plots
from grader.report.study_table import format_study
from grader.study.build import build_study
from grader.study.layout import Shot, read_layout
from grader.study.reading import LeftOut, gather
from grader.study.study import IntervalFacts, KappaFacts, study_schema_text
from grader.study.words import kappa_words, percent, quantity_words, short, signed
from tests.support.sample_record import SCRATCH, sample_findings, sample_record
from tests.support.study_records import invented_study, record_of

SCHEMA = Path(__file__).parents[3] / 'grader' / 'schemas' / 'study_v1.schema.json'


def study_of(records):
    return build_study(gather(records))


def shots(*records, pieces=None, setups=None):
    return [
        (Shot(Path(f'{k}.json'), 'a' if pieces is None else pieces[k], '' if setups is None else setups[k]), record)
        for k, record in enumerate(records)
    ]


def test_shipped_schema_is_that_of_the_models():
    assert SCHEMA.read_text(encoding='utf-8') == study_schema_text()


def test_study_satisfies_the_shipped_schema():
    schema = json.loads(SCHEMA.read_text(encoding='utf-8'))
    jsonschema.Draft202012Validator.check_schema(schema)
    for records in (invented_study(), invented_study(setups=('x', 'y', 'z'))):
        jsonschema.validate(json.loads(study_of(records).to_json()), schema)


def test_one_set_up():
    study = study_of(invented_study(n_pieces=4, n_photos=3))
    score = study.quantity('score')
    assert (score.n_photos, score.n_pieces, score.n_setups) == (12, 4, 1)
    assert score.repeat.degrees_of_freedom == 8
    assert score.between_setups is None
    assert [one.name for one in score.icc] == ['ICC(1,1)', 'ICC(1,k)']
    assert study.band_agreements == ()
    assert study.marks_again is None
    first = study.summary[0]
    assert first.startswith(
        f"The scores of two photos of the same piece differ by less than {short(score.repeat.limit)} points in 95 of 100 "
        f"cases; by these data that figure may be anything from {short(score.repeat.limit_low)} to "
    )
    assert first.endswith(f"(95 % interval, 8 degrees of freedom). Here {score.repeat.n_pairs_within} of 12 pairs did.")
    assert study.doubts[0].startswith("The figures rest on as few as 8 degrees of freedom")
    assert "There are only 4 pieces." in study.doubts[1]


def test_three_set_ups():
    study = study_of(invented_study(n_pieces=8, setups=('ann', 'ben', 'cat'), n_photos=2, bias=6.0))
    score = study.quantity('score')
    assert [(one.first, one.second) for one in score.agreements] == [('ann', 'ben'), ('ann', 'cat'), ('ben', 'cat')]
    assert score.agreements[2].bias.value == pytest.approx(-6.0, abs=1.5)
    assert score.between_setups.limit > score.repeat.limit
    assert [one.name for one in score.icc][:3] == ['ICC(1,1)', 'ICC(2,1)', 'ICC(3,1)']
    assert "8 pieces by 3 set-ups" in score.icc_basis
    assert [one.setup for one in score.by_setup] == ['ann', 'ben', 'cat']
    assert len(study.band_agreements) == 3
    assert study.band_agreement_of_all.n_setups == 3
    assert any("hardly chance" in words and words.startswith("Scores by \"ben\"") for words in quantity_words(score))
    assert quantity_words(score)[0].startswith("Of all variance of the score here ")
    assert quantity_words(score)[1].startswith("As a gauge that tells these pieces apart by score it is ")
    assert any(words.startswith("All 3 set-ups together: Fleiss' kappa") for words in study.summary)


def kappa_facts(**changes):
    half = IntervalFacts(value=0.5, low=0.1, high=0.9)
    fields = {'first': 'ann', 'second': 'ben', 'n_pieces': 12, 'bands': ('clean', 'damaged'), 'table': ((6, 1), (2, 3)),
              'n_same': 9, 'kappa': half, 'linear': half, 'quadratic': half}  # fmt: skip
    return KappaFacts(**{**fields, **changes})


def test_words_for_kappa():
    assert kappa_words(kappa_facts()) == (
        "\"ann\" and \"ben\" give the same word for 9 of 12 pieces; weighted kappa 0.50 with squared weights (95 % interval "
        "0.10 to 0.90), 0.50 with linear ones."
    )
    assert kappa_words(kappa_facts(n_pieces=4, n_same=3)).endswith(
        "with so few pieces the interval is not to be trusted."
    )
    assert kappa_words(kappa_facts(n_same=12)).endswith("that they never disagreed here is no promise.")
    none = {'kappa': None, 'linear': None, 'quadratic': None}
    assert kappa_words(kappa_facts(**none)).endswith("All pieces have the same word, so kappa tells nothing.")


def test_shares_add_up():
    score = study_of(invented_study(setups=('x', 'y'))).quantity('score')
    shares = {one.source: one.percent_contribution for one in score.components}
    told = [shares[name] for name in ('piece', 'setup', 'interaction', 'repeat') if name in shares]
    assert sum(told) == pytest.approx(100.0, abs=1e-3)
    assert shares['gauge'] == pytest.approx(shares['reproducibility'] + shares['repeat'], abs=1e-3)
    assert shares['total'] == pytest.approx(100.0)


def test_photos_that_never_differ_promise_nothing():
    study = study_of(shots(*(record_of(k, 80.0) for k in range(4)), pieces='aabb'))
    repeat = study.quantity('score').repeat
    assert (repeat.limit, repeat.limit_low, repeat.limit_high) == (0.0, None, None)
    assert study.summary[0] == (
        "The scores of two photos of the same piece never differed here (2 pairs). That does not show that they never will."
    )
    assert "no difference seen" in format_study(study)


def test_negative_variance_is_set_to_nothing_and_told():
    study = study_of(
        shots(record_of(1, 70.0), record_of(2, 80.0), record_of(3, 80.0), record_of(4, 70.0), pieces='aabb')
    )
    score = study.quantity('score')
    piece = next(one for one in score.components if one.source == 'piece')
    assert (piece.variance, piece.was_negative) == (0.0, True)
    assert "The variance between pieces came out below 0, which chance does, and was set to 0." in score.notes
    assert "came out below 0" in study_page(study, study_plots(study))


def test_photos_without_a_card_tell_no_width():
    study = study_of(shots(*(record_of(k, 70.0 + k, None) for k in range(4)), pieces='aabb'))
    assert study.quantity('width') is None
    assert study.not_studied[0].name == 'width'
    assert "Of the largest widths nothing can be told. No photo tells it: millimetres need the calibration card." in (
        study.summary
    )


def test_one_photo_a_piece_is_refused():
    with pytest.raises(
        PhotoSetUnusable, match=r"There is 1 photo of each of the 3 piece\(s\), so nothing was repeated\. Pho"
    ):
        study_of(shots(*(record_of(k, 70.0) for k in range(3)), pieces='abc'))


def test_set_ups_that_cannot_be_told_from_pieces():
    study = study_of(shots(*(record_of(k, 70.0 + k) for k in range(4)), pieces='aabb', setups='xxyy'))
    score = study.quantity('score')
    assert score.between_setups is None
    assert any(note.startswith("No piece was photographed by two set-ups") for note in score.notes)


def test_the_same_photo_twice_is_refused():
    with pytest.raises(PhotoSetUnusable, match="the same photo is there twice for the piece \"a\""):
        gather(shots(record_of(1, 70.0), record_of(1, 70.0)))
    with pytest.raises(PhotoSetUnusable, match="the same photo stands for the pieces \"a\" and \"b\""):
        gather(shots(record_of(1, 70.0), record_of(1, 70.0), pieces='ab'))


def test_unlike_rules_are_refused():
    old = record_of(1, 70.0)
    other = old.model_copy(update={'grade': old.grade.model_copy(update={'rules_version': 'v0'})})
    with pytest.raises(PhotoSetUnusable, match="graded by unlike rules: v0, v1"):
        gather(shots(record_of(2, 70.0), other))
    with pytest.raises(SettingsInvalid, match="There are no grade rules of version 'v0'"):
        gather(shots(other))


def test_set_ups_must_be_told_of_all_photos_or_of_none():
    with pytest.raises(PhotoSetUnusable, match="Some photos belong to a set-up, and others to none"):
        gather(shots(record_of(1, 70.0), record_of(2, 70.0), setups=('x', '')))


def test_side_photos_are_left_out():
    side = record_of(2, 70.0)
    side = side.model_copy(update={'quality': side.quality.model_copy(update={'view': 'side'})})
    found = gather(shots(record_of(1, 70.0), side))
    assert [one.photo for one in found.readings] == ['001.jpg']
    assert found.left_out == (LeftOut('002.jpg', "it shows the piece from the side"),)


def test_records_that_speak_of_something_else_are_refused():
    good = record_of(1, 70.0)
    with pytest.raises(RecordUnreadable, match=r"0\.json: the record tells what other\.jpg shows, and does not list"):
        gather(shots(good.model_copy(update={'photo': 'other.jpg'})))
    grade = good.grade.model_copy(update={'band': 'fairly nice'})
    with pytest.raises(
        RecordUnreadable, match="calls the condition \"fairly nice\", a word that grade rules v1 do not"
    ):
        gather(shots(good.model_copy(update={'grade': grade})))


def set_record():
    """Photos 1 and 2 together: a scratch that both report, and one that only the first does."""
    both = tuple(
        SeenInFacts(photo=f'00{k}.jpg', outline_px=SCRATCH.outline_px, number=1, confidence=0.9) for k in (1, 2)
    )
    singles = [record_of(k, 70.0) for k in (1, 2)]
    findings = tuple(sample_findings(one.photo, grade=one.grade) for one in singles)
    return sample_record(
        grade=singles[0].grade,
        photos=tuple(one.photos[0] for one in singles),
        marks=(
            SCRATCH.model_copy(update={'seen_in': both, 'missing_in': ()}),
            SCRATCH.model_copy(update={'number': 2, 'seen_in': both[:1], 'missing_in': ('002.jpg',)}),
        ),
        photo_set=PhotoSetFacts(turns=(), seen_ratio=0.4, sectors=()),
        other_findings=findings,
    )


def test_a_record_of_several_photos_tells_each_and_which_marks_are_one():
    study = study_of(shots(set_record()))
    assert [one.photo for one in study.readings] == ['001.jpg', '002.jpg']
    again = study.marks_again.same_setup
    assert (again.n_again, again.n_looks, again.n_marks) == (2, 3, 2)
    assert any("is reported by another photo by the same set-up" in words for words in study.summary)


def test_a_photo_with_a_record_of_its_own_counts_once():
    study = study_of(shots(record_of(1, 60.0), record_of(2, 61.0), set_record(), setups=('x', 'y', '')))
    assert [(one.photo, one.score, one.setup) for one in study.readings] == [
        ('001.jpg', 60.0, 'x'),
        ('002.jpg', 61.0, 'y'),
    ]
    assert study.marks_again.same_setup is None
    assert study.marks_again.other_setup.n_looks == 3


def test_layout_of_folders(tmp_path):
    for name in ('a/x/1.jpg', 'a/y/2.JPG', 'b/x/3.json', 'b/x/3.marked.jpg', 'b/.hidden/4.jpg', 'b/x/notes.txt'):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).touch()
    found = read_layout(tmp_path)
    assert [(shot.piece, shot.setup, shot.path.name, shot.is_record) for shot in found] == [
        ('a', 'x', '1.jpg', False), ('a', 'y', '2.JPG', False), ('b', 'x', '3.json', True),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ('files', 'words'),
    [
        (('1.jpg',), r"1\.jpg: it lies in .* itself, so its piece is not known\. Make a folder for each piece"),
        (('a/x/deep/1.jpg',), "it lies one folder too deep; folders PIECE/SETUP are needed"),
        (('a/notes.txt',), "there is no photo and no record in the folders of it"),
    ],
)
def test_layouts_that_do_not_tell(files, words, tmp_path):
    for name in files:
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).touch()
    with pytest.raises(PhotoSetUnusable, match=words):
        read_layout(tmp_path)


def test_layout_of_a_table(tmp_path):
    (tmp_path / 'photos').mkdir()
    for name in ('photos/1.jpg', '2.json'):
        (tmp_path / name).touch()
    (tmp_path / 't.csv').write_text('\ufeffPiece;Photo;Setup\r\nrose;photos/1.jpg;phone\r\n\r\nrose;2.json;\r\n')
    assert read_layout(tmp_path / 't.csv') == (
        Shot(tmp_path / '2.json', 'rose', ''), Shot(tmp_path / 'photos/1.jpg', 'rose', 'phone'),
    )  # fmt: skip


def test_faults_of_a_table_are_told_line_by_line(tmp_path):
    (tmp_path / '1.jpg').touch()
    (tmp_path / 't.csv').write_text('photo,piece\n1.jpg,a\n1.jpg,a\n2.jpg,a\n1.jpg,\nnotes.txt,a\n1.jpg\n')
    with pytest.raises(ImportFaulty) as caught:
        read_layout(tmp_path / 't.csv')
    lines = str(caught.value).splitlines()
    assert lines[0] == "t.csv: 5 fault(s), and nothing was examined:"
    assert lines[1:6] == [
        "- line 3: 1.jpg is there twice.",
        "- line 4: there is no file 2.jpg in the folder of the table.",
        "- line 5: photo and piece are needed, and one of them is empty.",
        "- line 6: notes.txt is neither a photo nor a record by the end of its name.",
        "- line 7: there are 1 cells, and the header has 2 columns.",
    ]


@pytest.mark.parametrize(
    ('text', 'words'),
    [
        ('photo,who\n', "line 1: the column \"who\" is not known"),
        ('photo,photo,piece\n', "line 1: the column \"photo\" is there twice"),
        ('photo,setup\n', "line 1: the header must name the columns photo and piece"),
        ('', "photo and piece is missing"),
        ('photo,piece\n"1.jpg,a\n', "line 2: the table cannot be read from here on"),
    ],
)
def test_tables_that_cannot_be_read(text, words, tmp_path):
    (tmp_path / 't.csv').write_text(text)
    with pytest.raises(ImportFaulty) as caught:
        read_layout(tmp_path / 't.csv')
    assert words in str(caught.value)


def test_a_table_that_is_no_text(tmp_path):
    (tmp_path / 't.csv').write_bytes(b'\xff\xfe\x00photo')
    with pytest.raises(ImportFaulty, match="it is not UTF-8 text"):
        read_layout(tmp_path / 't.csv')


def test_plots_show_each_photo_and_each_piece():
    study = study_of(invented_study(n_pieces=5, setups=('x & y', '<z>'), n_photos=2))
    plots = {name: svg for name, (_, svg) in study_plots(study).items()}
    assert set(plots) == {
        'score-by-piece.svg', 'width-by-piece.svg', 'marks-by-piece.svg', 'sources-of-spread.svg',
        'score-agreement-1.svg', 'width-agreement-1.svg', 'marks-agreement-1.svg',
    }  # fmt: skip
    by_piece = plots['score-by-piece.svg']
    # 10 photos of each set-up, and a sign of each in the legend.
    assert (by_piece.count('<circle '), by_piece.count('<polygon ')) == (11, 11)
    assert plots['score-agreement-1.svg'].count('<circle ') == 5
    for svg in plots.values():
        assert '<z>' not in svg
        assert 'nan' not in svg


def test_page_is_escaped_and_fetches_nothing():
    study = study_of(invented_study(n_pieces=5, setups=('x & y', '<z>'), n_photos=2))
    page = study_page(study, study_plots(study))
    assert "default-src 'none'; style-src 'unsafe-inline'" in page
    assert '<script' not in page
    assert '<z>' not in page
    assert 'src=' not in page
    assert all(heading in page for heading in ("In short", "What this study cannot tell", "Score", "Largest width"))


@pytest.mark.parametrize(
    ('value', 'words'),
    [
        (0.0, "0"),
        (2.14, "2.1"),
        (9.96, "10"),
        (17.2, "17"),
        (123.4, "123"),
        (0.1849, "0.18"),
        (0.0996, "0.10"),
        (0.61, "0.61"),
    ],
)
def test_two_digits_that_count(value, words):
    assert short(value) == words


def test_signs_and_shares():
    assert (signed(-2.14), signed(2.14)) == ("−2.1", "+2.1")
    assert [percent(value) for value in (0.0, 0.4, 47.6, 99.7, 100.0)] == [
        "0 %", "less than 1 %", "48 %", "more than 99 %", "100 %",
    ]  # fmt: skip
