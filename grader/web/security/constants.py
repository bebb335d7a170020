"""Numbers of the page's safety, with where they come from."""

# Source: OWASP Session Management Cheat Sheet asks for 64 bits of entropy at least (from memory); 256 cost nothing.
SECRET_BYTES = 32

# Source: our own choice: a working day; a browser of this computer gets a new session at once, a phone pairs again.
SESSION_IDLE_S = 12 * 3600.0

# Source: our own choice: browsers of one person on one computer; the longest unused are forgotten first.
MAX_OWN_SESSIONS = 64

# Source: our own choice: phones and tablets of one household.
MAX_PHONES = 12

# Source: our own choice: signs that are not taken for one another when read from a screen (no 0, O, 1, I, L).
CODE_ALPHABET = '23456789ABCDEFGHJKMNPQRSTUVWXYZ'

# Source: 31 to the power of 6 are 8.9e8 codes: MAX_TRIES guesses hit one by chance once in 44 million.
CODE_LENGTH = 6

# Source: our own choice: time to fetch the phone and open its camera, not more.
CODE_LIFE_S = 300.0

# Source: our own choice: a person who mistypes needs two or three.
MAX_TRIES_PER_ADDRESS = 6
MAX_TRIES = 20

# Source: our own choice: pages' forms hold text of MAX_TEXT_LENGTH at most, and few fields.
MAX_FORM_BYTES = 1_000_000

# Source: grader.constants.MAX_PHOTO_BYTES, the largest photo, and room for the form around it.
MAX_PHOTOS_BYTES = (1 << 30) + MAX_FORM_BYTES

# Source: our own choice: a sealed set of a dozen photos as large as a camera makes them.
MAX_BAG_BYTES = 4 << 30

# Source: our own choice: photos of two phones, a few at a time each; more would only slow each other.
MAX_UPLOADS = 6

# Source: the field of the hidden token stands first in each form: name, boundary (70 signs at most, RFC 2046, 5.1.1)
# and value are below 400 bytes.
MAX_TOKEN_PART_BYTES = 2048

# Source: our own choice: our own requests need 1 or 2 kB; h11 allows 16 kB by default.
MAX_HEADER_BYTES = 16 * 1024

# Source: our own choice: our longest address has some 100 signs.
MAX_PATH_LENGTH = 1024

# Source: our own choice: Wi-Fi sends a request's head at once; a phone that falls asleep meanwhile sends it anew.
HEAD_LIMIT_S = 15.0

# Source: our own choice: pauses of a bad Wi-Fi connection are shorter.
BODY_PAUSE_S = 30.0

# Source: our own choice: a photo of 5 MB over the worst Wi-Fi that is still of use, 10 kB/s, takes 8 minutes.
SLOWEST_BYTES_PER_S = 10_000.0

# Source: our own choice: what a body may take before its speed counts.
BODY_GRACE_S = 60.0

# Source: our own choice: a phone that falls asleep while a picture is sent to it.
SEND_LIMIT_S = 60.0

# Source: our own choice: a refused request's body is still read that long, so that the refusal gets through.
LEFTOVER_LIMIT_S = 30.0

# Source: our own choice: a browser opens six connections to one address; three browsers of one device.
MAX_CONNECTIONS_PER_ADDRESS = 18

# Source: our own choice: connections of ten devices; each costs memory only.
MAX_CONNECTIONS = 180

# Source: our own choice: how long an idle connection is kept for the next request; browsers poll each second or two.
KEEP_ALIVE_S = 15
