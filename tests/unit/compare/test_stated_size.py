"""Sizes as sellers state them, and whether a piece has them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calib.measured import Measured
from grader.compare.stated_size import check_stated_size, read_stated_size
from grader.errors import SettingsInvalid


@pytest.mark.parametrize(
    ('text', 'of', 'mm', 'half_step_mm'),
    [
        ('75 mm', 'width', 75.0, 0.5),
        ('75mm', 'width', 75.0, 0.5),
        ('7.5 cm', 'width', 75.0, 0.5),
        ('7,50 cm', 'width', 75.0, 0.05),
        ('3 in', 'width', 76.2, 12.7),
        ('3"', 'width', 76.2, 12.7),
        ('2 3/4 in', 'width', 69.85, 3.175),
        ('2-3/4"', 'width', 69.85, 3.175),
        ('3/4 inch', 'width', 19.05, 3.175),
        ('2.75 inches', 'width', 69.85, 0.127),
        ('  Height: 60 mm ', 'height', 60.0, 0.5),
        ('60 mm tall', 'height', 60.0, 0.5),
        ('75 mm across', 'width', 75.0, 0.5),
    ],
)
def test_sizes_are_read(text, of, mm, half_step_mm):
    stated = read_stated_size(text)
    assert (stated.of, stated.text) == (of, text)
    assert stated.mm == pytest.approx(mm)
    assert stated.half_step_mm == pytest.approx(half_step_mm)


@pytest.mark.parametrize(
    ('text', 'length'), [(' Height:  60 mm', '60 mm'), ('2 3/4 in across', '2 3/4 in'), ('75mm', '75mm'), ('3"', '3"')]
)
def test_the_length_stands_alone(text, length):
    assert read_stated_size(text).length == length


@pytest.mark.parametrize('text', ['', '75', 'mm', '5/4 in', '3 3/0 in', '75 mm thick', '-75 mm', '7 5 mm', '75 kg'])
def test_what_is_no_size_says_how_to_give_it(text):
    with pytest.raises(SettingsInvalid, match=r'is not a length with its unit\. Give it as "75 mm"'):
        read_stated_size(text)


@pytest.mark.parametrize('text', ['4000 mm', '0.2 in'])
def test_slips_of_the_unit_are_told(text):
    with pytest.raises(SettingsInvalid, match='sizes from 10 mm to 280 mm are believed'):
        read_stated_size(text)


@given(tenths=st.integers(100, 2800))
def test_units_agree(tenths):
    by_mm, by_cm = read_stated_size(f'{tenths / 10:.1f} mm'), read_stated_size(f'{tenths / 100:.2f} cm')
    assert by_mm.mm == pytest.approx(by_cm.mm)
    assert by_mm.half_step_mm == pytest.approx(by_cm.half_step_mm)


# A measured width of 71.0 mm with U = 0.6 mm (k = 2); a whole mm may be rounded by 0.5 mm.
@pytest.mark.parametrize(('text', 'agrees'), [('71 mm', True), ('72 mm', True), ('73 mm', False), ('69 mm', False)])
def test_doubt_and_rounding_both_count(text, agrees):
    check = check_stated_size(read_stated_size(text), Measured(71.0, (('outline', 0.3),)))
    assert check.agrees is agrees
    assert check.apart_mm == pytest.approx(float(text.split()[0]) - 71.0)
