"""What a history calls changed, and what it does not."""

import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from grader.collection.history import Length, PastExamination, in_order, past_examination, read_history
from grader.collection.history_notes import Direction, history_notes, judge_lengths
from grader.report.history_plot import draw_history
from grader.report.history_table import format_history
from tests.support.sample_record import sample_record

FIRST = PastExamination(
    '0001', '2024-05-01T10:00:00', 90.0, (86.0, 94.0), 'clean',
    {'largest width': Length(70.0, 0.3), 'height': Length(50.0, 0.4)},
    {'scratch': 1, 'chip': 0, 'bruise': 0, 'bubble': 2}, 0.1, 'v1',
)  # fmt: skip


def later(name, width_mm=70.0, height_mm=50.0, score=90.0, **changes):
    lengths = {'largest width': Length(width_mm, 0.3), 'height': Length(height_mm, 0.4)}
    return replace(FIRST, name=name, lengths=lengths, score=score, interval=(score - 4, score + 4), **changes)


def notes(*examinations):
    return ' '.join(history_notes(in_order(examinations)))


@pytest.mark.parametrize(
    ('after_mm', 'direction'),
    [(69.39, Direction.DOWN), (69.41, Direction.NOT_SURE), (70.59, Direction.NOT_SURE), (70.61, Direction.UP)],
)
def test_a_length_changed_beyond_both_uncertainties_together(after_mm, direction):
    assert judge_lengths(Length(70.0, 0.4), Length(after_mm, 0.2)) is direction


def test_nothing_surely_changed():
    words = notes(FIRST, later('0002', width_mm=69.6, height_mm=50.5, score=85))
    assert 'Not surely changed: largest width, height.' in words
    assert 'The score is not surely changed: 90 (86 to 94) first, 85 (81 to 89) last.' in words
    assert 'Glass' not in words


def test_re_polishing_is_pointed_out():
    gone = {'scratch': 0, 'chip': 0, 'bruise': 0, 'bubble': 2}
    words = notes(FIRST, later('0002', width_mm=69.2, score=99, n_marks=gone))
    assert 'The largest width is 0.80 mm less in 0002 than in 0001 (70.00 ± 0.30 mm before, 69.20 ± 0.30 mm' in words
    assert 'a sign of re-polishing. That fewer marks are found than before fits it.' in words
    assert 'The score rose from 90' in words
    assert 'Not surely changed: height.' in words


def test_wear_of_the_foot_is_pointed_out():
    assert 'wear or grinding of the foot, or by re-polishing of the top' in notes(FIRST, later('0002', height_mm=49.1))


def test_a_larger_piece_is_doubted():
    assert 'Glass does not grow' in notes(FIRST, later('0002', width_mm=71))


def test_slow_wear_shows_from_first_to_last():
    words = notes(FIRST, later('0002', height_mm=49.5), later('0003', height_mm=49.0))
    assert words.count('beyond both uncertainties') == 1
    assert 'The height is 1.00 mm less in 0003 than in 0001' in words


def test_scores_by_other_rules_are_told():
    words = notes(FIRST, later('0002', rules_version='v2'))
    assert 'by different rules (v1, v2)' in words
    assert 'different rules' not in notes(FIRST, later('0002'))


def test_more_marks_are_told_with_a_warning():
    more = {'scratch': 3, 'chip': 1, 'bruise': 0, 'bubble': 2}
    words = notes(FIRST, later('0002', n_marks=more))
    assert 'scratch 1 to 3, chip 0 to 1. How many show depends on light and photo' in words


def test_sizes_without_a_card_are_not_compared():
    assert 'Sizes cannot be compared' in notes(FIRST, replace(FIRST, name='0002', lengths={}))


@pytest.mark.parametrize('count', [0, 1])
def test_too_few_to_compare(count):
    assert 'fewer than two examinations' in notes(*[FIRST][:count])


def test_time_orders_where_all_state_one():
    older = replace(FIRST, name='0002', made_at='2020-01-01T00:00:00+02:00')
    assert [one.name for one in in_order([FIRST, older]).examinations] == ['0002', '0001']
    unknown = replace(FIRST, name='0003', made_at='')
    history = in_order([FIRST, older, unknown])
    assert ([one.name for one in history.examinations], history.is_by_time) == (['0001', '0002', '0003'], False)


def test_a_record_is_read_for_what_a_history_needs():
    past = past_examination('0001', sample_record(made_at='2026-03-10T10:09:00'))
    assert past.lengths == {'largest width': Length(71.03, 0.62), 'smallest width': Length(70.66, 0.61)}
    assert past.n_marks == {'scratch': 1, 'chip': 0, 'bruise': 0, 'bubble': 0}, 'the chip is below one half'


def test_unreadable_records_are_told_and_twins_count_once(tmp_path):
    for name, text in (('0001', sample_record().to_json()), ('0002', sample_record().to_json()),
                       ('0003', '{"record_version": 9}'), ('0004', None)):  # fmt: skip
        (tmp_path / 'examinations' / name).mkdir(parents=True)
        if text is not None:
            (tmp_path / 'examinations' / name / 'record.json').write_text(text, encoding='utf-8')
    history = read_history(tmp_path)
    assert [one.name for one in history.examinations] == ['0001']
    assert history.faults[0].startswith('0003: record.json: the record is of version 9')
    assert history.faults[1] == '0004: there is no record.json in it.'


def test_table():
    history = in_order([FIRST, later('0002', made_at='2025-01-01T09:30:00')])
    table = format_history('Amber swirl', history, history_notes(history))
    assert table.startswith('Amber swirl\n-----------\nExamination  When ')
    assert '2025-01-01 09:30  90 (86 to 94)  clean' in table
    assert '70.00 ± 0.30' in table
    assert 'In order by the times that the records state.' in table


@pytest.mark.parametrize('n_examinations', [0, 1, 2, 12])
def test_plot_is_svg_within_its_edges(n_examinations):
    done = [
        later(f'{k:04}', made_at=f'2024-05-{k + 1:02}T10:00:00', width_mm=70 - k / 5) for k in range(n_examinations)
    ]
    text = draw_history('<Bernstein> & Glück', in_order(done))
    assert text == draw_history('<Bernstein> & Glück', in_order(done))
    root = ET.fromstring(text)
    width, height = float(root.get('width')), float(root.get('height'))
    for node in root.iter():
        for name, limit in (('x', width), ('cx', width), ('x1', width), ('x2', width), ('y', height), ('cy', height),
                            ('y1', height), ('y2', height)):  # fmt: skip
            if node.get(name) is not None:
                assert 0 <= float(node.get(name)) <= limit, (node.tag, node.attrib)
    assert '<Bernstein> & Glück' in {node.text for node in root.iter()}
