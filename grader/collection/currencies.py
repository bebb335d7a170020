"""Currencies of ISO 4217 and the number of their decimals."""

import functools
import tomllib
from dataclasses import dataclass
from importlib.resources import files


@dataclass(frozen=True, slots=True)
class Currency:
    """One currency."""

    code: str
    """Three letters, by ISO 4217."""
    name: str
    """English name, as the standard's list gives it."""
    decimals: int
    """Decimals of an amount: 2 for EUR, 0 for JPY, 3 for KWD."""
    is_withdrawn: bool
    """Whether it is no longer in use."""


def currency_of(code: str) -> Currency:
    """Currency by its code, in capitals.

    Raises
    ------
    ValueError
        If the standard's list has no such code.
    """
    try:
        return all_currencies()[code]
    except KeyError:
        raise ValueError(f"\"{code}\" is not a currency code of ISO 4217, such as EUR, GBP or USD") from None


@functools.cache
def all_currencies() -> dict[str, Currency]:
    """Shipped currencies by code."""
    tables = tomllib.loads(files('grader.collection').joinpath('currencies_v1.toml').read_text(encoding='utf-8'))
    return {
        code: Currency(code, entry['name'], entry['decimals'], is_withdrawn=part == 'withdrawn')
        for part in ('withdrawn', 'current')
        for code, entry in tables[part].items()
    }
