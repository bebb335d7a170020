"""Money: an exact decimal amount in a currency, never a binary fraction."""

import re
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from pydantic import BaseModel, ConfigDict, field_serializer, field_validator, model_validator

from grader.collection.constants import MAX_MONEY_DIGITS
from grader.collection.currencies import currency_of
from grader.errors import repeated

_AMOUNT = re.compile(r'[0-9]+(?:\.[0-9]+)?', re.ASCII)
_EITHER_ORDER = re.compile(r'(?:(?P<code>[A-Za-z]{3})\s*(?P<n>\S+)|(?P<m>\S+?)\s*(?P<last>[A-Za-z]{3}))', re.ASCII)


class Money(BaseModel):
    """An amount with as many decimals as its currency has."""

    model_config = ConfigDict(frozen=True, extra='forbid')

    amount: Decimal
    """Exact; a text in JSON, since many programs read JSON numbers as binary fractions."""
    currency: str
    """Code of ISO 4217, in capitals."""

    @field_validator('amount', mode='before')
    @classmethod
    def _exact(cls, value: Any) -> Decimal:
        if isinstance(value, Decimal):
            value = format(value, 'f')
        if not isinstance(value, str) or not _AMOUNT.fullmatch(value):
            raise ValueError(
                "the amount must be digits with a point before the decimals, as text (\"1250.00\"), "
                f"not {repeated(value)}"
            )
        if len(value.replace('.', '')) > MAX_MONEY_DIGITS:
            raise ValueError(f"the amount has more than {MAX_MONEY_DIGITS} digits")
        return Decimal(value)

    @model_validator(mode='before')
    @classmethod
    def _with_all_decimals(cls, fields: Any) -> Any:
        if not isinstance(fields, dict) or not {'amount', 'currency'} <= set(fields):
            return fields
        currency = currency_of(str(fields['currency']))
        amount = cls._exact(fields['amount'])
        whole = amount.quantize(Decimal(1).scaleb(-currency.decimals))
        if whole != amount:
            raise ValueError(f"{currency.code} has {currency.decimals} decimals, and {amount} has more")
        return {**fields, 'amount': whole}

    @field_serializer('amount')
    def _as_text(self, amount: Decimal) -> str:
        return format(amount, 'f')

    def __str__(self) -> str:
        return f"{self.amount:,f} {self.currency}"


def money_from(text: str) -> Money:
    """Money from words such as "1250 EUR" or "GBP 85.50".

    Raises
    ------
    ValueError
        If it is not one amount and one currency code.
    """
    found = _EITHER_ORDER.fullmatch(text.strip())
    if not found:
        raise ValueError(f"\"{text}\" is not an amount with its currency, such as \"1250.00 EUR\"")
    code, amount = found['code'] or found['last'], found['n'] or found['m']
    if not _AMOUNT.fullmatch(amount):
        raise ValueError(f"\"{amount}\" is not an amount: write 1250.50, without signs between the thousands")
    return Money(amount=Decimal(amount), currency=code.upper())


def totals(amounts: Iterable[Money]) -> tuple[Money, ...]:
    """Exact sum of each currency, by code; amounts of different currencies are never added."""
    sums: dict[str, Decimal] = {}
    for money in amounts:
        sums[money.currency] = sums.get(money.currency, Decimal(0)) + money.amount
    return tuple(Money.model_construct(amount=amount, currency=code) for code, amount in sorted(sums.items()))
