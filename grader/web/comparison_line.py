"""A comparison in the list of a piece: its day and its outcome, without loading what made it."""

from dataclasses import dataclass

from grader.collection.comparisons import StoredComparison
from grader.collection.record_light import NotLight, some_fields
from grader.web.time_words import day_words


@dataclass(frozen=True, slots=True)
class ComparisonLine:
    """A comparison in the list."""

    number: int
    day: str
    outcome: str
    """First sentences of its outcome, or why it cannot be read."""


def comparison_line(stored: StoredComparison) -> ComparisonLine:
    """What the list says of a comparison."""
    try:
        fields = some_fields(stored.file.read_bytes(), ('made_at', 'summary'))
    except OSError as err:
        return ComparisonLine(stored.number, "", f"It cannot be opened ({err.strerror or err}).")
    except NotLight as err:
        return ComparisonLine(stored.number, "", f"comparison.json {err}.")
    summary = fields['summary'] if isinstance(fields['summary'], list) else []
    day = day_words(fields['made_at']) if isinstance(fields['made_at'], str) else ""
    return ComparisonLine(stored.number, day, " ".join(str(words) for words in summary[:2]) or "No outcome is stated.")
