"""Dates as an owner knows them: "about 1850", "1968", "1968-05". The words are kept as they are."""

import re
from calendar import monthrange
from datetime import UTC, datetime

from grader.collection.constants import FIRST_YEAR, LAST_YEAR

_NUMERIC = re.compile(r'([0-9]{4})-([0-9]{1,2})(?:-([0-9]{1,2}))?', re.ASCII)
_YEAR = re.compile(r'(?<![0-9])[0-9]{4}(?![0-9])', re.ASCII)


def check_date_words(text: str) -> str:
    """Return the words as they are; what is written like a date in figures must be one.

    Raises
    ------
    ValueError
        For "1968-13" or "1968-02-30".
    """
    found = _NUMERIC.fullmatch(text)
    if not found:
        return text
    year, month, day = int(found[1]), int(found[2]), int(found[3] or 1)
    if year == 0 or not 1 <= month <= 12 or not 1 <= day <= monthrange(year, month)[1]:
        raise ValueError(f"\"{text}\" is not a date: write year-month-day, such as 1968-05-31, or words")
    return text


def first_year(text: str) -> int | None:
    """First year that the words name, to sort by; None where they name none."""
    years = (int(found) for found in _YEAR.findall(text))
    return next((year for year in years if FIRST_YEAR <= year <= LAST_YEAR), None)


def moment_of(iso: str) -> datetime | None:
    """Time that a record states, None where it states none; without a zone it is taken for that of Greenwich.

    Only the order of examinations may rest on it.
    """
    try:
        moment = datetime.fromisoformat(iso)
    except ValueError:
        return None
    return moment if moment.tzinfo is not None else moment.replace(tzinfo=UTC)
