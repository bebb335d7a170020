"""One bad input: files, the command that reads them, and what it may answer."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class BadCase:
    """Files in an empty folder, and a command that is run in it."""

    family: str
    """What is wrong, in a few words."""
    args: tuple[str, ...]
    """The command, with paths from the folder."""
    files: Mapping[str, bytes]
    """Contents by path from the folder; all must be as they were afterwards, but for those in `may_change`."""
    codes: frozenset[int]
    """Exit codes that are promised for this fault."""
    told: tuple[str, ...]
    """Names, of which one must stand in a message of failure."""
    may_make: tuple[str, ...] = ()
    """Starts of the paths that the command may write when it ends well."""
    may_change: frozenset[str] = field(default_factory=frozenset)
    """Files that it may change when it ends well."""
