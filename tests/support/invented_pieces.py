"""Descriptions of pieces that nobody has, for tests of a collection: no maker, seller or place in them exists."""

from collections.abc import Iterator
from typing import Any

_COLOURS = ('Amber', 'Blue', 'Grün', 'Écarlate', '紫の', 'Янтарный', 'Ølgul')
_DESIGNS = ('swirl', 'millefiori', 'Blüte', 'dahlia', '花', 'Спираль', 'concentric canes')
_MAKERS = ('Glasshouse Nowhere', 'Hütte Müllerstal', "Atelier de l'Île Perdue", '架空硝子', 'Werkstatt Keinort')
_PLACES = ('Cabinet 1, shelf 2', 'Vitrine Süd', 'box 12', 'loan to a friend')
_PERIODS = ('about 1850', '1968', '1968-05', '', '19th century', '2004-11-30')
_VALUES = (None, {'amount': '1250.00', 'currency': 'EUR'}, {'amount': '150000', 'currency': 'JPY'},
           {'amount': '85.5', 'currency': 'GBP'}, {'amount': '12.345', 'currency': 'KWD'})  # fmt: skip


def invented_fields(n_pieces: int) -> Iterator[dict[str, Any]]:
    """Fields of so many pieces, all different."""
    for k in range(n_pieces):
        yield {
            'title': f'{_COLOURS[k % 7]} {_DESIGNS[k // 7 % 7]} {k}',
            'type_of_object': 'paperweight',
            'maker': _MAKERS[k % 5],
            'date_or_period': _PERIODS[k % 6],
            'materials_and_techniques': 'glass, canes set in clear crystal, polished concave base',
            'measurements': f'largest width {60 + k % 40} mm, height {40 + k % 20} mm',
            'inscriptions_and_markings': f'signature slice "N{k % 99}" in the base' if k % 3 else '',
            'distinguishing_features': 'one cane of the outer ring stands aslant; small bubble beside it',
            'description': 'Domed piece on a ground of lace with a close pack of canes. ' * (1 + k % 4),
            'inventory_number': str(k + 1),
            'bought_from': 'a fair that never was',
            'bought_when': _PERIODS[(k + 1) % 6],
            'price': _VALUES[k % 5],
            'value': _VALUES[(k + 2) % 5],
            'place_kept': _PLACES[k % 4],
            'notes': '=not a formula' if k % 11 == 0 else "'quoted', and\ntwo lines" if k % 13 == 0 else '',
        }
