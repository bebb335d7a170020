"""What an import reads before it is checked, and what is wrong with it."""

from dataclasses import dataclass
from typing import Any

from grader.errors import ImportFaulty

Faults = tuple[tuple[int, str], ...]
"""Number of the line, counted from 1, and what is wrong there."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """What a file says of one piece."""

    line: int
    """Line of the file on which it begins, counted from 1."""
    fields: dict[str, Any]
    """Fields that it gives, not yet checked; empty ones are left out."""


def import_faulty(name: str, faults: Faults) -> ImportFaulty:
    """Error that lists all faults by line."""
    lines = '\n'.join(f"- line {line}: {words}." for line, words in sorted(faults))
    return ImportFaulty(
        f"{name}: {len(faults)} fault(s), and nothing was imported:\n{lines}\n", "Mend them, then import again."
    )
