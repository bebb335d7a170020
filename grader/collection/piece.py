"""Piece: what is known of one piece, under the headings of Object ID and the owner's own, as versioned JSON."""

import json
import re
import unicodedata
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, ValidationError

from grader.collection.constants import ID_ALPHABET, ID_LENGTH, MAX_FAULTS_TOLD, MAX_TEXT_LENGTH
from grader.collection.dates import check_date_words
from grader.collection.money import Money
from grader.errors import CollectionUnreadable, cut_short, repeated

PIECE_VERSION = 1
PIECE_FILE = 'piece.json'
ID_PATTERN = f'^[{ID_ALPHABET}]{{{ID_LENGTH}}}$'

_FORBIDDEN_IN_NAMES = re.compile(r'[\x00-\x1f\x7f/\\:*?"<>|]')


def _plain_text(value: Any) -> Any:
    """Text in one form, whatever keyboard or program it came from: composed letters, line feeds, no outer blanks."""
    if not isinstance(value, str):
        return value
    text = unicodedata.normalize('NFC', value.replace('\r\n', '\n').replace('\r', '\n')).strip()
    for sign in text:
        if unicodedata.category(sign) in ('Cc', 'Cs') and sign not in '\n\t':
            raise ValueError(f"the text holds a sign that cannot be printed (U+{ord(sign):04X})")
    return text


def _file_name(value: str) -> str:
    if value in ('', '.', '..') or _FORBIDDEN_IN_NAMES.search(value):
        raise ValueError(f"\"{value}\" is not a plain file name")
    return value


Text = Annotated[str, BeforeValidator(_plain_text), Field(max_length=MAX_TEXT_LENGTH)]
DateWords = Annotated[Text, AfterValidator(check_date_words)]
FileName = Annotated[Text, AfterValidator(_file_name)]


class _Part(BaseModel):
    """Frozen, and strict about fields it does not know: people edit these files too."""

    model_config = ConfigDict(frozen=True, extra='forbid')


class PiecePhoto(_Part):
    """A photo of the piece, in the folder ``photos`` beside its ``piece.json``."""

    file: FileName
    """Name of the file."""
    shows: Text = ''
    """What it shows: "whole piece", "signature slice", "damage"."""
    with_scale: bool = False
    """Whether a scale or something of known size is in the picture, as Object ID asks for one."""


class Piece(_Part):
    """One piece of the collection.

    The first block are the categories of the open standard Object ID; the second is what its guide also recommends;
    the third is the owner's own. All may be empty.
    """

    piece_version: Literal[1] = 1
    id: str = Field(pattern=ID_PATTERN)
    """Given once and never changed; other programs and reports may refer to it."""

    title: Text = ''
    type_of_object: Text = ''
    maker: Text = ''
    date_or_period: DateWords = ''
    materials_and_techniques: Text = ''
    measurements: Text = ''
    inscriptions_and_markings: Text = ''
    subject: Text = ''
    distinguishing_features: Text = ''
    description: Text = ''
    photos: tuple[PiecePhoto, ...] = ()

    inventory_number: Text = ''
    place_of_origin: Text = ''
    related_written_material: Text = ''
    related_objects: Text = ''
    date_documented: DateWords = ''

    bought_from: Text = ''
    bought_when: DateWords = ''
    price: Money | None = None
    value: Money | None = None
    valued_by: Text = ''
    valued_when: DateWords = ''
    place_kept: Text = ''
    notes: Text = ''

    def to_json(self) -> str:
        """Text of piece.json, in the order of the headings; empty ones are written too, so that one sees the slots."""
        return json.dumps(self.model_dump(mode='json'), indent=1, ensure_ascii=False) + '\n'

    def with_fields(self, fields: dict[str, Any]) -> 'Piece':
        """Return the piece with other fields, checked.

        Raises
        ------
        ValidationError
            If one does not fit.
        """
        return Piece.model_validate({**dict(self), **fields})


MONEY_FIELDS = ('price', 'value')
TEXT_FIELDS = tuple(name for name in Piece.model_fields if name not in ('piece_version', 'id', 'photos', *MONEY_FIELDS))
OWNER_FIELDS = tuple(name for name in Piece.model_fields if name not in ('piece_version', 'id', 'photos'))
"""Fields that the owner fills in, in the order of the headings."""

HEADINGS = {
    'title': "Title",
    'type_of_object': "Type of object",
    'maker': "Maker",
    'date_or_period': "Date or period",
    'materials_and_techniques': "Materials and techniques",
    'measurements': "Measurements",
    'inscriptions_and_markings': "Inscriptions and markings",
    'subject': "Subject",
    'distinguishing_features': "Distinguishing features",
    'description': "Description",
    'inventory_number': "Inventory number",
    'place_of_origin': "Place of origin",
    'related_written_material': "Related written material",
    'related_objects': "Related objects",
    'date_documented': "Date documented",
    'bought_from': "Bought from",
    'bought_when': "Bought when",
    'price': "Price",
    'value': "Value",
    'valued_by': "Valued by",
    'valued_when': "Valued when",
    'place_kept': "Place kept",
    'notes': "Notes",
}
"""Headings in words."""


def piece_from_json(text: str, name: str) -> Piece:
    """Piece from the text of its file.

    Raises
    ------
    CollectionUnreadable
        If it is none, or of a version that this program does not know; with all fields that are wrong.
    """
    try:
        fields = json.loads(text)
    except (ValueError, RecursionError) as err:
        raise CollectionUnreadable(
            f"{name}: this is not JSON text ({err}).", "Mend it in a text editor, or take back an earlier version."
        ) from err
    version = fields.get('piece_version') if isinstance(fields, dict) else None
    if version != PIECE_VERSION:
        raise CollectionUnreadable(
            f"{name}: the piece's file is of version {repeated(version)}, and version {PIECE_VERSION} is needed.",
            "Use a newer grader for a newer file; nothing was changed.",
        )
    try:
        return Piece.model_validate(fields)
    except ValidationError as err:
        faults = faults_of(err)
        told = '; '.join(faults[:MAX_FAULTS_TOLD])
        more = f"; and {len(faults) - MAX_FAULTS_TOLD} more" if len(faults) > MAX_FAULTS_TOLD else ""
        raise CollectionUnreadable(
            f"{name}: {told}{more}.", "Mend it in a text editor, or take back an earlier version."
        ) from err


_WORDS_OF = {
    'extra_forbidden': "is not a known field",
    'missing': "is missing",
    'string_type': "must be text",
    'string_too_long': f"has more than {MAX_TEXT_LENGTH:,} signs",
    'too_long': f"has more than {MAX_TEXT_LENGTH:,} signs",
    'string_pattern_mismatch': f"must be {ID_LENGTH} of the signs {ID_ALPHABET}",
}


def faults_of(err: ValidationError) -> list[str]:
    """Each fault in words, with its field; cut where the file has very long names or values."""
    return [cut_short(f"{_place_of(one['loc'])}: {_words_of(one['type'], one['msg'])}") for one in err.errors()]


def _place_of(loc: tuple[int | str, ...]) -> str:
    return '.'.join(str(part) for part in loc) or 'piece'


def _words_of(kind: str, message: str) -> str:
    return _WORDS_OF.get(kind, message.removeprefix('Value error, '))


def schema_text() -> str:
    """JSON Schema of piece.json, as it is shipped."""
    schema = Piece.model_json_schema(mode='serialization')
    schema['$schema'] = 'https://json-schema.org/draft/2020-12/schema'
    return json.dumps(schema, sort_keys=True, indent=1, ensure_ascii=False) + '\n'
