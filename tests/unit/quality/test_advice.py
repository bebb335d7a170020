"""What is short gets a flag, a sentence and a verdict; what could not be judged is said so."""

import pytest

from grader.flags import FLAGS
from grader.quality.advice import _SENTENCES, advice_for, doubts_of, smallest_words, verdict_of
from grader.quality.exposure import Exposure
from grader.quality.faults import faults_of
from grader.quality.focus import Focus
from grader.quality.light import Light
from grader.quality.noise import Noise
from grader.quality.photo_quality import NoLimits, SmallestMarks
from grader.quality.placing import Placing

GOOD = {
    'placing': Placing('above', 9.0, 2.0, None, 1.0),
    'light': Light('coaxial', False, "a ring light is mirrored"),
    'focus': Focus('card', 0.9, 0.92, 0.88, 0.95, 74),
    'exposure': Exposure(0.6, 0.2, 0.7, 0.01, 0.0, False),
    'noise': Noise('patches', 0.004, 200),
    'glare_ratio': 0.03,
    'smallest': SmallestMarks(1.0, 0.5, 3.0, 2.0, 9.0),
}
BAD = [
    ('focus', Focus('none', None, None, None, None, 0), 'focus-not-told', 'usable with limits'),
    ('focus', Focus('card', 1.8, 2.4, 1.0, 0.9, 74), 'camera-moved', 'usable with limits'),
    ('focus', Focus('card', 4.0, 5.2, 2.2, 0.9, 74), 'camera-moved', 'take it again'),
    ('focus', Focus('card', 3.1, 3.2, 3.0, 3.0, 74), 'soft-focus', 'usable with limits'),
    ('focus', Focus('card', 6.0, 6.1, 5.9, 3.0, 74), 'soft-focus', 'take it again'),
    ('focus', Focus('glass', 6.0, None, None, 6.0, 20), 'soft-focus', 'usable with limits'),
    ('exposure', Exposure(0.1, 0.05, 0.2, 0.0, 0.0, False), 'too-dark', 'usable with limits'),
    ('exposure', Exposure(0.03, 0.01, 0.05, 0.0, 0.0, False), 'too-dark', 'take it again'),
    ('exposure', Exposure(None, 0.01, 0.1, 0.0, 0.0, None), 'too-dark', 'usable with limits'),
    ('exposure', Exposure(0.6, 0.05, 0.7, 0.0, 0.4, False), 'dark-parts', 'usable with limits'),
    ('exposure', Exposure(0.6, 0.6, 1.0, 0.3, 0.0, False), 'over-exposed', 'usable with limits'),
    ('exposure', Exposure(0.6, 1.0, 1.0, 0.6, 0.0, False), 'over-exposed', 'take it again'),
    ('exposure', Exposure(1.1, 0.4, 1.0, 0.0, 0.0, True), 'paper-over-exposed', 'usable'),
    ('light', Light('low', True, "the ground"), 'low-light', 'usable'),
    ('glare_ratio', 0.2, 'much-glare', 'usable with limits'),
    ('noise', Noise('patches', 0.08, 200), 'grainy', 'usable with limits'),
    ('placing', Placing('above', 4.0, 2.0, None, 1.0), 'low-resolution', 'usable with limits'),
    ('placing', Placing('above', 2.0, 2.0, None, 1.0), 'low-resolution', 'take it again'),
    ('placing', Placing('above', 9.0, 20.0, None, 1.0), 'camera-slanted', 'usable with limits'),
    ('placing', Placing('above', 9.0, 2.0, None, 0.8), 'rim-cut-off', 'take it again'),
    ('smallest', SmallestMarks(None, None, None, 9.0, 9.0), 'marks-hidden', 'usable with limits'),
    ('smallest', SmallestMarks(6.0, 5.0, 3.0, 2.0, 9.0), 'marks-hidden', 'usable with limits'),
    ('smallest', SmallestMarks(None, 1.0, 3.0, 2.0, 9.0), 'busy-design', 'usable'),
]


def test_a_good_photo_has_no_fault():
    assert faults_of(**GOOD) == ()
    assert verdict_of(()) == 'usable'
    known = {name: value for name, value in GOOD.items() if name != 'glare_ratio'}
    assert doubts_of(**known) == ()


@pytest.mark.parametrize(('part', 'value', 'flag', 'verdict'), BAD, ids=[f'{b[2]}-{k}' for k, b in enumerate(BAD)])
def test_each_fault(part, value, flag, verdict):
    case = {**GOOD, part: value}
    found = faults_of(**case)
    assert [fault.flag for fault in found] == [flag]
    assert verdict_of(found) == verdict
    sentence = advice_for(found[0], case['smallest'])
    assert sentence.endswith('.') and '{' not in sentence


def test_each_sentence_has_its_flag_and_is_reached():
    assert set(_SENTENCES) <= set(FLAGS)
    assert {flag for _, _, flag, _ in BAD} == set(_SENTENCES)


def test_a_soft_picture_is_told_with_its_numbers():
    (fault,) = faults_of(**{**GOOD, 'focus': Focus('card', 3.1, 3.2, 3.0, 3.0, 74)})
    assert advice_for(fault, SmallestMarks(1.8, 0.5, 3.0, 2.0, 9.0)) == (
        "Tap on the glass to focus, and hold still or lean the phone: the picture is soft, edges spread over 3.1 px; "
        "scratches under 0.20 mm will not show."
    )


def test_a_low_lamp_may_mirror_more_and_leave_parts_black():
    case = {**GOOD, 'light': Light('low', True, ""), 'glare_ratio': 0.2,
            'exposure': Exposure(0.6, 0.02, 1.0, 0.0, 0.4, False)}  # fmt: skip
    assert [fault.flag for fault in faults_of(**case)] == ['low-light']


def test_what_could_not_be_judged_is_said():
    doubts = doubts_of(
        Placing('unknown', None, None, None, 1.0),
        Light('unknown', None, "no ring light was recognised"),
        Focus('none', None, None, None, None, 0),
        Exposure(None, 0.2, 0.7, 0.0, 0.0, None),
        Noise('none', None, 0),
        NoLimits("the focus could not be read"),
    )
    text = ' '.join(doubts)
    for part in ("neither scale nor tilt", "light was used could not be told", "lightest part", "smooth enough",
                 "the focus could not be read"):  # fmt: skip
        assert part in text
    assert "whether the glass is as sharp cannot be told" in doubts_of(
        GOOD['placing'], GOOD['light'], Focus('card', 0.9, 0.9, 0.9, 3.0, 74), GOOD['exposure'], GOOD['noise'],
        GOOD['smallest'],
    )[0]  # fmt: skip


def test_words_for_the_smallest_marks():
    assert smallest_words(SmallestMarks(1.08, 0.45, 10.8, None, 9.0)) == (
        "scratches from 0.12 mm wide (0.05 mm on plain parts); chips from 1.2 mm across"
    )
    assert smallest_words(SmallestMarks(None, 0.45, None, None, 9.0)) == (
        "scratches only on plain parts, from 0.05 mm wide; chips only on plain parts"
    )
    assert smallest_words(SmallestMarks(1.08, 0.45, 10.8, 3.0, None)) == (
        "scratches from 1.1 px wide; chips from 10.8 px across"
    )
    assert smallest_words(NoLimits("the focus could not be read")) == "not told: the focus could not be read"
