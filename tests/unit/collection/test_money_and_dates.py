"""Money is exact and has the decimals of its currency; dates keep the owner's words."""

from decimal import Decimal

import pytest
from pydantic import ValidationError

from grader.collection.currencies import all_currencies, currency_of
from grader.collection.dates import check_date_words, first_year
from grader.collection.money import Money, money_from, totals


@pytest.mark.parametrize(
    ('text', 'amount', 'currency', 'words'),
    [
        ('1250 EUR', '1250.00', 'EUR', '1,250.00 EUR'),
        ('gbp 85.5', '85.50', 'GBP', '85.50 GBP'),
        ('150000JPY', '150000', 'JPY', '150,000 JPY'),
        ('12.345 KWD', '12.345', 'KWD', '12.345 KWD'),
        ('99999999999999.9 ITL', None, None, 'ITL has 0 decimals'),
        ('1.005 EUR', None, None, 'EUR has 2 decimals, and 1.005 has more'),
        ('1,250 EUR', None, None, 'write 1250.50, without signs between the thousands'),
        ('-5 EUR', None, None, 'is not an amount'),
        ('5 XAU', None, None, 'is not a currency code of ISO 4217'),
        ('5', None, None, 'is not an amount with its currency'),
        ('١٢ EUR', None, None, 'is not an amount'),
        ('1e3 EUR', None, None, 'is not an amount'),
        ('1234567890123456 EUR', None, None, 'more than 15 digits'),
    ],
)
def test_money_from_words(text, amount, currency, words):
    if amount is None:
        with pytest.raises(ValueError, match=words):
            money_from(text)
        return
    money = money_from(text)
    assert money.model_dump(mode='json') == {'amount': amount, 'currency': currency}
    assert str(money) == words


@pytest.mark.parametrize('amount', [12.5, 12, True, None, 'NaN', '1_000', ' 1'])
def test_amounts_that_are_no_decimal_text_are_refused(amount):
    with pytest.raises(ValidationError, match='must be digits with a point'):
        Money.model_validate({'amount': amount, 'currency': 'EUR'})


def test_totals_are_exact_and_by_currency():
    tenths = [money_from('0.10 EUR')] * 3
    assert [str(money) for money in totals([*tenths, money_from('7 JPY')])] == ['0.30 EUR', '7 JPY']
    assert totals([money_from('999999999999.99 EUR')] * 10_000)[0].amount == Decimal('9999999999999900.00')


def test_withdrawn_currencies_are_marked():
    assert currency_of('DEM').is_withdrawn
    assert not currency_of('EUR').is_withdrawn
    assert all(len(code) == 3 and code.isupper() and 0 <= one.decimals <= 4 for code, one in all_currencies().items())


@pytest.mark.parametrize(
    'words', ['about 1850', '1968', '1968-05', '1968-5-31', 'vor dem Krieg', '2000-02-29', '昭和43年', '']
)
def test_words_for_a_date_are_kept(words):
    assert check_date_words(words) == words


@pytest.mark.parametrize('words', ['1968-13', '1968-00', '1900-02-29', '1968-05-32', '0000-01'])
def test_what_looks_like_a_date_must_be_one(words):
    with pytest.raises(ValueError, match='is not a date'):
        check_date_words(words)


@pytest.mark.parametrize(
    ('words', 'year'),
    [('about 1850', 1850), ('1968-05', 1968), ('old', None), ('no. 12345, 1901', 1901), ('0999', None)],
)
def test_year_to_sort_by(words, year):
    assert first_year(words) == year
