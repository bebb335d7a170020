"""What all parts of a record share: strictness, and the digits to which numbers are kept."""

import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from stat import S_ISREG
from typing import Annotated, Generic, TypeVar

import numpy as np
from pydantic import AfterValidator, BaseModel, ConfigDict, ValidationError

from grader.constants import MAX_RECORD_BYTES
from grader.errors import RecordUnreadable, cut_short, repeated


def rounded(n_digits: int) -> AfterValidator:
    """Validator that rounds to so many decimals, so that the same photo gives the same text."""
    # Adding zero turns -0.0 into 0.0.
    return AfterValidator(lambda value: round(value, n_digits) + 0.0)


def _clock(value: float) -> float:
    # Just before 12 o'clock is rounded to 12, which is 0.
    return round(value, 2) % 12.0 + 0.0


Px = Annotated[float, rounded(2)]
Mm = Annotated[float, rounded(3)]
UncertaintyMm = Annotated[float, rounded(4)]
Ratio = Annotated[float, rounded(4)]
Points = Annotated[float, rounded(1)]
ClockH = Annotated[float, AfterValidator(_clock)]
PointPx = tuple[Px, Px]


class RecordPart(BaseModel):
    """Frozen, and strict about fields it does not know: records come from outside too."""

    model_config = ConfigDict(frozen=True, extra='forbid', allow_inf_nan=False)


_Part = TypeVar('_Part', bound=RecordPart)


@dataclass(frozen=True, slots=True)
class FileKind(Generic[_Part]):
    """A kind of file that the program writes, and reads again."""

    model: type[_Part]
    """What it holds."""
    name: str
    """What it is called in words, such as "record"."""
    version_field: str
    """Field that holds its version."""
    version: int
    """The only version that this program knows."""
    as_written: str
    """The file to give, in words."""
    remedy: str
    """What else the user can do."""

    def read(self, path: Path) -> _Part:
        """Contents of a file of this kind.

        Raises
        ------
        RecordUnreadable
            If it is missing, is no such file or is of a version that this program does not know.
        """
        return self.from_bytes(file_bytes(path, self.name), path.name)

    def from_bytes(self, data: bytes, name: str) -> _Part:
        """Contents of such a file from its bytes; `name` is for the words of a fault.

        Raises
        ------
        RecordUnreadable
            If it is no such file or is of a version that this program does not know.
        """
        fields = self._fields(data, name)
        version = fields.get(self.version_field) if isinstance(fields, dict) else None
        if version != self.version or isinstance(version, bool):
            raise RecordUnreadable(
                f"{name}: the {self.name} is of version {repeated(version)}, and version {self.version} is needed.",
                f"Use a newer grader for a newer {self.name}, or {self.remedy}.",
            )
        try:
            return self.model.model_validate_json(json.dumps(fields))
        except RecursionError as err:
            raise self._no_such_file(name) from err
        except ValidationError as err:
            first = err.errors()[0]
            place = '.'.join(str(part) for part in first['loc'])
            raise RecordUnreadable(
                f"{name}: {err.error_count()} field(s) of the {self.name} are wrong, "
                f"the first is {repeated(place)}: {cut_short(first['msg'])}.",
                f"Give the {self.name} as {self.as_written} wrote it, or {self.remedy}.",
            ) from err

    def _fields(self, data: bytes, name: str) -> object:
        try:
            return json.loads(data.decode('utf-8'))
        except (ValueError, RecursionError) as err:
            raise self._no_such_file(name) from err

    def _no_such_file(self, name: str) -> RecordUnreadable:
        return RecordUnreadable(
            f"{name}: this is not a {self.name}; it is not even JSON text.",
            f"Give the {self.name}.json that {self.as_written} wrote.",
        )


def file_bytes(path: Path, kind: str) -> bytes:
    """Bytes of a file of ours; `kind` is what it is called in words.

    A pipe or a device, which may have no end, is not read, nor is a file that is larger than any of ours.

    Raises
    ------
    RecordUnreadable
        If it is missing, cannot be opened, is no ordinary file or too large.
    """
    try:
        state = path.stat()
        if not S_ISREG(state.st_mode):
            raise RecordUnreadable(
                f"{path.name}: this is no ordinary file, and a {kind} is needed.", "Check the name and the folder."
            )
        if state.st_size > MAX_RECORD_BYTES:
            raise RecordUnreadable(
                f"{path.name}: the file has {state.st_size:,} bytes, and a {kind} has at most {MAX_RECORD_BYTES:,}.",
                f"Give the {kind} as the program wrote it.",
            )
        return path.read_bytes()
    except OSError as err:
        raise RecordUnreadable(
            f"{path.name}: the {kind} cannot be opened ({err.strerror or err}).", "Check the name and the folder."
        ) from err


@contextmanager
def reckoning_with(name: str) -> Iterator[None]:
    """Reckon with what a file says, whose fields are right one by one and may be absurd together.

    Raises
    ------
    RecordUnreadable
        In place of a fault of arithmetic; `name` is that of the file.
    """
    try:
        with np.errstate(divide='raise', over='raise', invalid='raise'):
            yield
    except (ArithmeticError, ValueError) as err:
        raise RecordUnreadable(
            f"{name}: its numbers do not fit together ({err}).",
            "Examine the photos again. If the file is just as the program wrote it, please report this.",
        ) from err


def json_text(part: RecordPart) -> str:
    """Text of a record: the same contents always give the same text."""
    fields = part.model_dump(mode='json', exclude_none=True)
    text = json.dumps(fields, sort_keys=True, indent=1, ensure_ascii=False, allow_nan=False)
    return _points_on_one_line(text) + '\n'


def schema_of(model: type[RecordPart]) -> str:
    """JSON Schema of a model, as it is shipped."""
    schema = model.model_json_schema(mode='serialization')
    schema['$schema'] = 'https://json-schema.org/draft/2020-12/schema'
    return json.dumps(schema, sort_keys=True, indent=1, ensure_ascii=False) + '\n'


def _points_on_one_line(text: str) -> str:
    number = r'-?[0-9.]+(?:e[-+]?[0-9]+)?'
    return re.sub(rf'\[\s+({number}),\s+({number})\s+\]', r'[\1, \2]', text)
