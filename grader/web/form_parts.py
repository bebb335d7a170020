"""A form with files, as it comes in: its files go to a folder at once, within limits, whatever the sender says."""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO

from python_multipart.exceptions import FormParserError
from python_multipart.multipart import MultipartParser, parse_options_header

from grader.errors import UploadRefused, UploadTooLarge
from grader.web.photo_names import safe_name

_REMEDY = "Go back, choose the photos again, and send them once more. Nothing was stored."


@dataclass(frozen=True, slots=True)
class FormLimits:
    """What a form may hold at most."""

    file_bytes: int
    n_files: int
    field_bytes: int
    n_fields: int


@dataclass(frozen=True, slots=True)
class SentFile:
    """A file of a form."""

    path: Path
    """Where it lies; its folder holds nothing else."""
    n_bytes: int

    @property
    def name(self) -> str:
        """Name that any disk takes, near to the one that was sent."""
        return self.path.name


@dataclass(slots=True)
class _Part:
    name: str = ''
    sent_name: str | None = None
    """Name of a file; None for a plain field."""
    n_bytes: int = 0
    value: bytearray = field(default_factory=bytearray)
    path: Path | None = None
    file: BinaryIO | None = None


def open_new(path: Path) -> BinaryIO:
    """Open a new file for writing."""
    return path.open('xb')


class FormParts:
    """Reads a form of the kind multipart/form-data (RFC 7578) piece by piece.

    Parameters
    ----------
    content_type : str
        Header of the request.
    folder : Path
        Existing folder for the files; whoever made it removes it when this fails.
    limits : FormLimits
    opened : Callable[[Path], BinaryIO]
        Opens a new file.

    Raises
    ------
    UploadRefused
        If it is no such form.
    """

    def __init__(
        self,
        content_type: str,
        folder: Path,
        limits: FormLimits,
        opened: Callable[[Path], BinaryIO] = open_new,
    ) -> None:
        kind, options = parse_options_header(content_type)
        boundary = options.get(b'boundary', b'')
        if kind != b'multipart/form-data' or not boundary:
            raise UploadRefused("What was sent is not a form with photos.", _REMEDY)
        self._folder, self._limits, self._opened = folder, limits, opened
        self._fields: list[tuple[str, str]] = []
        self._files: list[SentFile] = []
        self._part = _Part()
        self._header_name, self._header_value, self._disposition = b'', b'', b''
        self._is_whole = False
        try:
            self._parser = MultipartParser(
                boundary,
                {
                    'on_part_begin': self._begin,
                    'on_header_field': self._note_header_name,
                    'on_header_value': self._note_header_value,
                    'on_header_end': self._end_header,
                    'on_headers_finished': self._end_headers,
                    'on_part_data': self._take,
                    'on_part_end': self._end,
                    'on_end': self._note_whole,
                },
            )
        except FormParserError as err:
            raise _unreadable() from err

    def feed(self, data: bytes) -> None:
        """Take the next piece.

        Raises
        ------
        UploadRefused
            If it cannot be read, or is more than the limits allow.
        OSError
            If it cannot be written.
        """
        try:
            self._parser.write(data)
        except FormParserError as err:
            raise _unreadable() from err

    def end(self) -> tuple[list[tuple[str, str]], list[SentFile]]:
        """Fields and files of the form, once all was fed.

        Raises
        ------
        UploadRefused
            If it broke off before its end.
        """
        if not self._is_whole:
            raise UploadRefused("What was sent broke off before its end.", _REMEDY)
        return self._fields, self._files

    def close(self) -> None:
        """Close the file that is being written, if there is one."""
        if self._part.file is not None:
            self._part.file.close()
            self._part.file = None

    def _begin(self) -> None:
        self._part, self._disposition = _Part(), b''

    def _note_header_name(self, data: bytes, start: int, end: int) -> None:
        self._header_name += data[start:end]

    def _note_header_value(self, data: bytes, start: int, end: int) -> None:
        self._header_value += data[start:end]

    def _end_header(self) -> None:
        if self._header_name.lower() == b'content-disposition':
            self._disposition = self._header_value
        self._header_name, self._header_value = b'', b''

    def _end_headers(self) -> None:
        _, options = parse_options_header(self._disposition)
        if b'name' not in options:
            raise _unreadable()
        self._part.name = _text(options[b'name'])
        # A file field in which nothing was chosen comes with an empty name.
        if options.get(b'filename'):
            self._begin_file(_text(options[b'filename']))
        elif b'filename' in options:
            self._part.sent_name = ''

    def _begin_file(self, sent_name: str) -> None:
        if len(self._files) >= self._limits.n_files:
            raise UploadTooLarge(
                f"More than {self._limits.n_files} files were sent at once.",
                "Send fewer at a time. Nothing was stored.",
            )
        place = self._folder / f'{len(self._files):04}'
        place.mkdir()
        self._part.sent_name = sent_name
        self._part.path = place / safe_name(sent_name)
        self._part.file = self._opened(self._part.path)

    def _take(self, data: bytes, start: int, end: int) -> None:
        part = self._part
        part.n_bytes += end - start
        if part.file is not None and part.path is not None:
            if part.n_bytes > self._limits.file_bytes:
                raise UploadTooLarge(
                    f"{part.path.name}: the file has more than {self._limits.file_bytes >> 20} MB.",
                    "Save it as a JPEG in full size, and send that. Nothing was stored.",
                )
            part.file.write(memoryview(data)[start:end])
        elif part.n_bytes > self._limits.field_bytes:
            raise UploadTooLarge("A field of the form is too long.", _REMEDY)
        else:
            part.value += data[start:end]

    def _end(self) -> None:
        part = self._part
        if part.file is not None and part.path is not None:
            self.close()
            self._files.append(SentFile(part.path, part.n_bytes))
        elif part.sent_name is None:
            if len(self._fields) >= self._limits.n_fields:
                raise UploadTooLarge("The form has too many fields.", _REMEDY)
            self._fields.append((part.name, _text(bytes(part.value))))

    def _note_whole(self) -> None:
        self._is_whole = True


def _unreadable() -> UploadRefused:
    return UploadRefused("What was sent is damaged, so the photos in it cannot be told apart.", _REMEDY)


def _text(data: bytes) -> str:
    """Text of a form; what is no UTF-8 comes from very old browsers."""
    try:
        return data.decode()
    except UnicodeDecodeError:
        return data.decode('latin-1')
