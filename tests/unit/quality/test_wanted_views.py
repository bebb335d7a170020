"""Which views of a set are there, as far as the photos tell."""

from grader.quality.light import Light
from grader.quality.placing import Placing
from grader.quality.wanted_views import view_words, wanted_views

ABOVE, SIDE = Placing('above', 9.0, 2.0, None, 1.0), Placing('side', 8.0, 67.0, 10.0, 1.0)
CLOSE = Placing('close-up', None, None, None, 0.4)
COAXIAL, LOW = Light('coaxial', False, ""), Light('low', True, "")
DAYLIGHT, UNKNOWN = Light('unknown', False, ""), Light('unknown', None, "")


def there(photos):
    return [view.there for view in wanted_views(photos)]


def test_a_whole_set():
    photos = [(ABOVE, COAXIAL), (ABOVE, LOW), *[(SIDE, COAXIAL)] * 4, (CLOSE, UNKNOWN)]
    assert there(photos) == ['yes', 'yes', 'yes', 'not told', 'yes']
    assert all(view.advice == '' for view in wanted_views(photos) if view.there == 'yes')


def test_what_is_missing_and_what_cannot_be_told():
    assert there([]) == ['no', 'no', 'no', 'not told', 'no']
    assert there([(ABOVE, UNKNOWN)]) == ['not told', 'not told', 'no', 'not told', 'no']
    assert there([(ABOVE, DAYLIGHT), (SIDE, UNKNOWN)]) == ['yes', 'no', 'no', 'not told', 'no']
    sides = wanted_views([(SIDE, COAXIAL)])[2]
    assert sides.name == "from 4 sides (1 there)"
    assert sides.advice.startswith("Take 3 more from the side")


def test_words_for_a_photo():
    assert view_words(ABOVE, LOW) == "from above; low ring light"
    assert view_words(ABOVE, DAYLIGHT) == "from above; light from above"
    assert view_words(CLOSE, UNKNOWN) == "a close-up: the piece does not fit into the picture; light not recognised"
