"""Text from outside as a terminal may show it."""

from grader.evidence.names import shown


def printable(text: str) -> str:
    """Text whose lines hold no signs that a terminal would act on; records, tables and names may come from others."""
    return '\n'.join(shown(line) if not line.isprintable() else line for line in text.split('\n'))
