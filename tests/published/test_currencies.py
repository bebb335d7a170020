"""Minor units of currencies, as printed in ISO 4217, list one (from memory, apart from the file that is shipped)."""

import pytest

from grader.collection.currencies import currency_of

PRINTED = {'EUR': 2, 'USD': 2, 'GBP': 2, 'CHF': 2, 'JPY': 0, 'KRW': 0, 'ISK': 0, 'VND': 0, 'CLP': 0, 'KWD': 3, 'BHD': 3,
           'TND': 3, 'OMR': 3, 'JOD': 3, 'CLF': 4}  # fmt: skip


@pytest.mark.parametrize(('code', 'decimals'), PRINTED.items())
def test_minor_units(code, decimals):
    assert currency_of(code).decimals == decimals


@pytest.mark.parametrize('code', ['XAU', 'XXX', 'XTS', 'eur', ''])
def test_what_is_no_currency_to_pay_in(code):
    with pytest.raises(ValueError, match='is not a currency code of ISO 4217'):
        currency_of(code)
