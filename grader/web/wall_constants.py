"""Numbers of the wall and of small pictures."""

# Source: our own choice: several screens; the page's program asks for more before they are needed.
CARDS_AT_ONCE = 120

# Source: our own choice: longer text is no search; each word is looked for in all texts of a collection.
MAX_SEARCH_LETTERS, MAX_SEARCH_WORDS = 400, 20

# Source: cards are 140 to 225 CSS pixels wide, and common screens have one to two pixels to each.
THUMB_PX = 440

# Source: the column of a piece's page is at most 520 CSS pixels wide, with up to two pixels to each.
LARGE_PX = 1000

# Source: pictures of a row, 96 CSS pixels wide.
SMALL_PX = 200

# Source: fills common screens; the file itself lies in the piece's folder.
CATALOGUE_PX = 2000

# Source: our own choice: enough ground round the glass to see its outline.
ROOM_ROUND_PIECE_RATIO = 0.06

# Source: compared by eye on rendered glass: below 80 fine canes begin to smear; 440 pixels square take some 30 kB.
PICTURE_QUALITY = 82

# Source: our own choice: the largest pictures of common cameras; JPEGs are decoded at a part of their size.
# Decoding takes some 12 bytes a pixel for a moment, 0.8 GB, in the process that answers all pages.
MAX_DECODED_PIXELS = 64_000_000

# Source: decoding takes a core 0.05 to 0.2 s, and up to 300 MB for the largest photos; pages stay quick beside two.
THUMBS_AT_ONCE = 2

# Source: our own choice: 256 folders of 160 pictures of 30 kB are 1.2 GB at most, and serve 20,000 pieces.
MAX_CACHED_IN_FOLDER = 160

# Source: our own choice: the photos of a large collection, at some 300 bytes each.
MAX_KNOWN_HASHES = 20_000

# Source: our own choice: schedules are fetched when they are ready, and can be made again.
KEPT_PAPERS = 10

# Source: our own choice: a name of one line on a title page.
MAX_NAME_LETTERS = 120
