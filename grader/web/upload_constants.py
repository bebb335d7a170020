"""Limits of what is sent to the page, with where they come from."""

# Source: a 16-bit TIFF of 40 MP has 240 MB, a JPEG of the largest sensors 80 MB; larger files are not sent through a
# browser but examined by the command, whose limit is MAX_PHOTO_BYTES.
MAX_FILE_BYTES = 256 << 20

# Source: our own choice: a dozen views in two lights, and as many close-ups; each is examined for several seconds.
MAX_DRAFT_PHOTOS = 60

# Source: our own choice: without scripts all photos come in one request.
MAX_REQUEST_FILES = MAX_DRAFT_PHOTOS

# Source: our own choice: the form for photos has one field besides them, the token.
MAX_REQUEST_FIELDS = 20

# Source: our own choice: the token has 43 signs.
MAX_FIELD_BYTES = 10_000

# Source: our own choice: what comes in is worked off in pieces of this size; smaller ones would cost threads.
FEED_BYTES = 1 << 20

# Source: our own choice: decoding the largest photo takes 10 s on a slow machine, and others may wait before it.
INTAKE_LIMIT_S = 180.0

# Source: our own choice: what a stopped program left of an upload; none takes that long.
LEFTOVER_AGE_S = 3600.0

# Longest side of a preview, in px.
# Source: a card of the page is at most 420 CSS px wide, on screens with two device pixels each.
PREVIEW_SIDE_PX = 840

# Source: our own choice: no ringing to be seen at the size of the page (looked at).
PREVIEW_JPEG_QUALITY = 84

# Source: our own choice: a long import of another program is waited for (2 minutes), since minutes of work hang on it.
STORE_TRIES = 12
