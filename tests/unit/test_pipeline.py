"""Which photo heads a record, and which doubts concern a whole photo."""

import itertools
from types import SimpleNamespace

import numpy as np
import pytest

from grader.outline.dome_view import NoCard
from grader.pipeline import flags_of, main_photo_first


def seen_from(
    name: str, position_mm: tuple[float, float, float] | None, sha256: str = '0', *, is_base: bool = False
) -> SimpleNamespace:
    card = NoCard("No card.") if position_mm is None else SimpleNamespace(camera_position_mm=np.array(position_mm))
    view = SimpleNamespace(photo=SimpleNamespace(name=name, sha256=sha256), card=card)
    return SimpleNamespace(view=view, is_base=is_base)


def test_the_photo_most_from_above_comes_first_whatever_the_order():
    photos = [
        seen_from('above.jpg', (10.0, 0.0, 400.0)),
        seen_from('tilted.jpg', (200.0, 0.0, 400.0)),
        seen_from('side.jpg', (0.0, -400.0, 50.0)),
        seen_from('a-listing.jpg', None),
        seen_from('b-listing.jpg', None, '1'),
        seen_from('b-listing.jpg', None, '2'),
        seen_from('a-base.jpg', (0.0, 0.0, 400.0), is_base=True),
    ]
    for shuffled in itertools.islice(itertools.permutations(photos), 0, 5040, 259):
        assert list(main_photo_first(shuffled)) == photos


def view_with(card: object, photo_flags: tuple[str, ...] = (), outline_flags: tuple[str, ...] = ()) -> SimpleNamespace:
    return SimpleNamespace(
        photo=SimpleNamespace(flags=photo_flags), card=card, outline=SimpleNamespace(flags=outline_flags)
    )


def test_flags_of_all_stages_are_gathered_once():
    card = SimpleNamespace(flags=('card-cut-off', 'outline-weak'))
    view = view_with(card, ('transparency-filled',), ('outline-weak',))
    assert flags_of(view, SimpleNamespace(max_px=900.0), SimpleNamespace(flags=('soft-focus',))) == (
        'transparency-filled', 'card-cut-off', 'outline-weak', 'soft-focus',
    )  # fmt: skip


@pytest.mark.parametrize(('max_px', 'flags'), [(900.0, ('no-card',)), (300.0, ('no-card', 'piece-small-in-photo'))])
def test_no_card_and_a_small_piece_are_flagged(max_px, flags):
    assert flags_of(view_with(NoCard("No card.")), SimpleNamespace(max_px=max_px), SimpleNamespace(flags=())) == flags
