"""Numbers and names of sealed bags, each with its source."""

# Version of the seal, stated in each bag.
# Source: counted here; a bag of an unknown version is refused with words.
SEAL_VERSION = 1

# Version of BagIt that is written.
# Source: RFC 8493, 2.1.1.
BAGIT_VERSION = '1.0'

# Versions of BagIt that are read.
# Source: the drafts in use before RFC 8493, from 0.93 on, and the RFC itself.
OLDEST_BAGIT, NEWEST_BAGIT = (0, 93), (1, 0)

# First version in which "%" itself is written as "%25" in a manifest, and in which each payload manifest must list each
# payload file.
# Source: RFC 8493, 2.1.3 and appendix on changes.
FIRST_STRICT_BAGIT = (1, 0)

# Character encodings of tag files that are read.
# Source: RFC 8493, 2.1.1 recommends UTF-8; the others are those that older bagging tools offer.
TAG_FILE_ENCODINGS = ('utf-8', 'us-ascii', 'iso-8859-1', 'utf-16')

# Checksums that no longer withstand intent.
# Source: RFC 6151 (MD5), RFC 6194 (SHA-1); RFC 8493, 5.3 says the same.
WEAK_CHECKSUMS = ('md5', 'sha1')

# Largest tag file that is read, in bytes; a manifest of this length lists some 500,000 files.
# Source: lines of a digest and a path of 64 characters.
MAX_TAG_FILE_BYTES = 64 * 1024 * 1024

# Bytes read at a time when a file is copied or hashed.
# Source: large enough that reading and not Python takes the time (tried: 64 KiB to 4 MiB differ by under 5 %).
BLOCK_BYTES = 1024 * 1024

# Longest file name on common disks, in bytes of UTF-8.
# Source: POSIX NAME_MAX of ext4, APFS (255 UTF-8 bytes), NTFS (255 UTF-16 units, never more bytes than these).
MAX_NAME_BYTES = 255

# Names that Windows keeps for devices, whatever their ending.
# Source: Microsoft, "Naming Files, Paths, and Namespaces"; from memory.
DEVICE_NAMES = frozenset(
    ['con', 'prn', 'aux', 'nul', *(f'com{k}' for k in range(1, 10)), *(f'lpt{k}' for k in range(1, 10))]
)

# Characters that a portable file name leaves out.
# Source: the same page; "%" because BagIt tools differ in how they write it in manifests; "~" is read as a home folder
# only at the start of a path, where no name of ours stands.
UNPORTABLE_CHARACTERS = frozenset('<>:"/\\|?*%')

# Bytes of the number that ties a time-stamp reply to its request.
# Source: RFC 3161, 2.4.1: "a large random number with a high probability that the client generates it only once
# (e.g., a 64 bit integer)".
NONCE_BYTES = 8

# Largest time-stamp reply that is read, in bytes.
# Source: replies with four certificates have some 8 kB; a hundred times that.
MAX_REPLY_BYTES = 800_000

# Certificates of a reply by which a chain is sought.
# Source: chains of authorities have three or four; the rest of a hostile reply would only cost time.
MAX_CERTIFICATES = 16
