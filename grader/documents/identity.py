"""A document's number: it is made from all that the document says and shows, so that no two unlike ones share it."""

import dataclasses
import hashlib
import json
from collections.abc import Iterator
from typing import Any

from grader.documents.blocks import Document
from grader.documents.constants import NUMBER_DIGITS, SHORT_HASH_DIGITS


def document_number(document: Document) -> str:
    """Return the number, such as "CR-3fa2-b1c9-d041"; the same contents always give the same."""
    text = json.dumps(_plain(document), sort_keys=True, ensure_ascii=True)
    digest = hashlib.sha256(text.encode()).hexdigest()[:NUMBER_DIGITS]
    groups = [digest[start : start + 4] for start in range(0, NUMBER_DIGITS, 4)]
    return '-'.join([document.prefix, *groups])


def short_hash(sha256: str) -> str:
    """Return the first digits of a hash, for the foot of a page."""
    return f"{sha256[:SHORT_HASH_DIGITS]}…"


def texts_of(part: Any) -> Iterator[str]:
    """Yield all words of a document or of a part of it, in their order."""
    if isinstance(part, str):
        yield part
    elif isinstance(part, tuple):
        for one in part:
            yield from texts_of(one)
    elif dataclasses.is_dataclass(part):
        for field in dataclasses.fields(part):
            yield from texts_of(getattr(part, field.name))


def _plain(part: Any) -> Any:
    """Part of a document as lists of texts and numbers."""
    if isinstance(part, bytes):
        return hashlib.sha256(part).hexdigest()
    if isinstance(part, tuple):
        return [_plain(one) for one in part]
    if dataclasses.is_dataclass(part):
        return [type(part).__name__, *(_plain(getattr(part, field.name)) for field in dataclasses.fields(part))]
    return part
