"""Options that cannot be used are told before any photo is read."""

from datetime import datetime, timedelta, timezone

import pytest

from grader.commands.options import settings_from, time_from
from grader.errors import SettingsInvalid
from grader.settings import Settings


def test_nothing_given_is_the_default():
    assert settings_from() == Settings()


def test_each_option_reaches_its_setting():
    settings = settings_from(require_card=True, card_scale_mm=99.5, height_mm=52.0)
    assert settings.card.required
    assert settings.card.print_scale.ratio == pytest.approx(0.995, abs=1e-12)
    assert settings.size.height_mm == 52.0


@pytest.mark.parametrize(
    ('options', 'words'),
    [
        ({'card_scale_mm': 12.0}, r'100 mm long at true size, and 12 mm was given; .* Measure the printed ruler'),
        (
            {'card_scale_mm': -1.0},
            r'^--card-scale-mm -1\.0: the input should be greater than 0\. Give the length in millimetres\.',
        ),
        ({'card_scale_mm': float('nan')}, r'should be a finite number'),
        ({'height_mm': 5.2}, r'^--height-mm 5\.2: the input should be greater than or equal to 10\.'),
    ],
    ids=['short ruler', 'negative', 'nan', 'centimetres'],
)
def test_impossible_lengths(options, words):
    with pytest.raises(SettingsInvalid, match=words):
        settings_from(**options)


def test_profile_that_is_none(tmp_path):
    with pytest.raises(SettingsInvalid, match=r'the camera profile cannot be opened \(No such file'):
        settings_from(profile=tmp_path / 'no.json')
    (tmp_path / 'p.json').write_text('{"a": 1}')
    with pytest.raises(SettingsInvalid, match=r'p\.json: this is not a camera profile\. Make one with'):
        settings_from(profile=tmp_path / 'p.json')


def test_time():
    assert time_from('') is None
    assert time_from('2026-03-10T10:09') == datetime(2026, 3, 10, 10, 9)
    assert time_from('2026-03-10T10:09+02:00').tzinfo == timezone(timedelta(hours=2))
    with pytest.raises(SettingsInvalid, match=r'^--when: "yesterday" is not a date and time\. Give it as 2026'):
        time_from('yesterday')
