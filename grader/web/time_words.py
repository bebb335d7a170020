"""Times as one reads them."""

from datetime import datetime

_MONTHS = ('January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October',
           'November', 'December')  # fmt: skip


def short_day_words(iso: str) -> str:
    """A day such as "10 Mar 2026", for narrow places."""
    day, _, rest = day_words(iso).partition(' ')
    month, _, year = rest.partition(' ')
    return f"{day} {month[:3]} {year}" if day else ""


def day_words(iso: str) -> str:
    """A day such as "10 March 2026", whatever the computer's language; '' where no time is stated."""
    try:
        when = datetime.fromisoformat(iso)
    except ValueError:
        return ""
    return f"{when.day} {_MONTHS[when.month - 1]} {when.year}"
