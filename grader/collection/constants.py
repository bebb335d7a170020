"""Numbers of the collection, with where they come from."""

# Source: our own choice: long notes of one piece are a page or two; longer text is a mistake, or meant to fill a disk.
MAX_TEXT_LENGTH = 20_000

# Source: our own choice: no price of a piece needs more digits, and sums of many stay exact.
MAX_MONEY_DIGITS = 15

# Source: our own choice: 31 signs without look-alikes (no 0, 1, i, l, o), the first one of 23 letters, are 6.3e11 ids;
# among 10,000 pieces two would be alike by chance once in 12,000 collections; a new id is checked against those there.
ID_LENGTH = 8
ID_ALPHABET = '23456789abcdefghjkmnpqrstuvwxyz'

# Source: our own choice: the shortest start of an id that may stand for the whole of it.
MIN_ID_PREFIX = 4

# Source: POSIX NAME_MAX and the limits of NTFS and APFS, 255 (from memory); 80 leaves room for what others add, such
# as a backup's suffix, and for deep folders where a whole path may have 260 signs.
MAX_FOLDER_NAME_BYTES = 80

# Source: our own choice: a usual change takes well under a second; a long import is told instead of waited for.
LOCK_WAIT_S = 10.0

# Source: our own choice: a larger file is no description of a piece.
MAX_PIECE_BYTES = 1_000_000

# Source: our own choice: 10,000 pieces with a page of notes each stay below it.
MAX_IMPORT_BYTES = 200_000_000

# Source: our own choice: four digits sort by name, and nobody examines a piece more often.
MAX_EXAMINATIONS = 9999

# Source: our own choice: years that collectors of glass write; other numbers in a date's words are none.
FIRST_YEAR, LAST_YEAR = 1000, 2999

# Source: our own choice: what is mended in one go; the rest is told the next time.
MAX_FAULTS_TOLD = 15
