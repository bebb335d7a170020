"""Exit codes: a promise to scripts. A code is never given another meaning."""

from enum import IntEnum

from calib.errors import ActionableError, CardNotFound, CardUnfit, ProfileUnfit, ViewsUnfit
from grader.errors import (
    BagInvalid,
    ChangedMeanwhile,
    CollectionBusy,
    CollectionNotFound,
    CollectionUnreadable,
    DraftNotFound,
    ImportFaulty,
    JobNotFound,
    MemoryShort,
    OutlineNotFound,
    OutputNotWritable,
    PhotoSetUnusable,
    PhotoUnreadable,
    PieceNotFound,
    PortTaken,
    RecordUnreadable,
    ReviewGrown,
    SetsNotComparable,
    SettingsInvalid,
    UploadRefused,
    UploadTooLarge,
)


class ExitCode(IntEnum):
    """What the program tells the shell when it ends."""

    DONE = 0
    OUR_BUG = 1
    WRONG_COMMAND_LINE = 2
    FILE_UNREADABLE = 3
    CARD = 4
    OUTLINE = 5
    PHOTO_SET = 6
    OUTPUT = 7
    BAG = 8
    NOT_COMPARABLE = 9
    SETTINGS = 10
    NOT_IN_COLLECTION = 11
    COLLECTION_BUSY = 12
    IMPORT = 13
    PAGE = 14
    NEW_DAMAGE = 20
    NO_PHOTO_USABLE = 21
    STOPPED = 130


CODE_OF_ERROR: dict[type[ActionableError], ExitCode] = {
    PhotoUnreadable: ExitCode.FILE_UNREADABLE,
    MemoryShort: ExitCode.FILE_UNREADABLE,
    RecordUnreadable: ExitCode.FILE_UNREADABLE,
    CardNotFound: ExitCode.CARD,
    CardUnfit: ExitCode.CARD,
    ViewsUnfit: ExitCode.PHOTO_SET,
    ProfileUnfit: ExitCode.SETTINGS,
    OutlineNotFound: ExitCode.OUTLINE,
    PhotoSetUnusable: ExitCode.PHOTO_SET,
    OutputNotWritable: ExitCode.OUTPUT,
    ReviewGrown: ExitCode.OUTPUT,
    BagInvalid: ExitCode.BAG,
    SetsNotComparable: ExitCode.NOT_COMPARABLE,
    SettingsInvalid: ExitCode.SETTINGS,
    CollectionUnreadable: ExitCode.FILE_UNREADABLE,
    CollectionNotFound: ExitCode.NOT_IN_COLLECTION,
    PieceNotFound: ExitCode.NOT_IN_COLLECTION,
    CollectionBusy: ExitCode.COLLECTION_BUSY,
    ChangedMeanwhile: ExitCode.COLLECTION_BUSY,
    ImportFaulty: ExitCode.IMPORT,
    JobNotFound: ExitCode.PAGE,
    PortTaken: ExitCode.PAGE,
    DraftNotFound: ExitCode.PAGE,
    UploadRefused: ExitCode.PAGE,
    UploadTooLarge: ExitCode.PAGE,
}


def exit_code_of(error: ActionableError) -> ExitCode:
    """Code of the error's class, or of the nearest class above it that has one.

    Raises
    ------
    LookupError
        If no class of the error has a code, which is a bug of ours.
    """
    for error_class in type(error).__mro__:
        if error_class in CODE_OF_ERROR:
            return CODE_OF_ERROR[error_class]
    raise LookupError(f'{type(error).__name__} has no exit code')
