"""Numbers of the page."""

# Source: unassigned in IANA's registry of ports, from memory; another program may have it, then --port names one.
DEFAULT_PORT = 8377

# Source: how long a page may wait for news of a job and still seem alive; common practice is a second or less.
POLL_MS = 700

# Source: a finished job is told as long as somebody may still have its page open; a day's work and more.
KEPT_JOBS = 500
