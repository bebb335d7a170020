"""Numbers of the grader that are more than plain geometry, each with its source.

Numbers of the card and the millimetre are in ``calib/constants.py``; stages with many numbers of their own keep them
in a ``constants.py`` beside them.
"""

# Largest photo that is read, in pixels.
# Source: the largest sensors in common use (medium format 151 MP, 14204 x 10652) and Pillow's own guard against
# decompression bombs, which refuses above 2 x 89,478,485 px.
MAX_PHOTO_PIXELS = 152_000_000

# Largest photo file that is read, in bytes.
# Source: an uncompressed 16-bit RGB TIFF of MAX_PHOTO_PIXELS (6 bytes a pixel), rounded up to a power of two.
MAX_PHOTO_BYTES = 1 << 30

# Least bytes a pixel of a photo of more than MANY_PIXELS; a file with fewer says that its picture is larger than it is.
# Source: photos of glass on an even ground, at the lowest quality that phones and listings use, have 0.02.
LEAST_BYTES_PER_PIXEL = 0.005
# Source: smaller pictures are read within a second, whatever their file holds.
MANY_PIXELS = 16_000_000

# Most scans of a JPEG that is read.
# Source: the usual scripts of progressive JPEGs have 10; each more costs the time of a whole picture, so that a small
# file with thousands would keep a computer busy for minutes.
MAX_JPEG_SCANS = 100

# Largest record, comparison or review that is read, in bytes.
# Source: with some 0.3 MB a photo, that of a hundred photos; hostile text of this size takes 1 GB when it is read.
MAX_RECORD_BYTES = 32 << 20

# Letters of a wrong value that a message repeats.
# Source: a line of a terminal is 80 letters wide, and the rest of the sentence needs half of it.
MAX_REPEATED_LETTERS = 40

# Letters of one fault that are told.
# Source: four lines of a terminal.
MAX_FAULT_LETTERS = 300

# Shortest side of a photo that is examined, in pixels.
# Source: with the frame card (190 mm) filling a picture of 200 px, a marker cell (20 mm / 7) is 3 px wide, the least
# at which a marker can be read.
MIN_PHOTO_SIDE_PX = 200

# Range in which a 35 mm-equivalent focal length is believed, in mm.
# Source: from the widest fish-eye (4 mm) to the longest catalogue lens with converter (5200 mm); 0 means unknown
# (Exif 2.32, tag 0xA405).
F35_RANGE_MM = (4.0, 5200.0)

# Largest change, in grey levels, by which an embedded colour profile is taken for sRGB itself.
# Source: rounding on both sides of the conversion of 8-bit values: half a level each.
SRGB_TOLERANCE_LEVELS = 1

# Heights of a piece that are believed, in mm; others are slips of the unit.
# Source: miniature weights are about 20 mm high, the largest that stand on the frame card about 140 mm; half and double
# of that.
HEIGHT_RANGE_MM = (10.0, 280.0)

# Largest width of a piece, in px, under which its photo is flagged as too coarse for fine marks.
# Source: a fine scratch is about 0.1 mm wide, on a piece of 70 mm 1/700 of the width; under 400 px that is less than
# 0.6 px, and such a line keeps little more than half of its contrast.
SMALL_PIECE_PX = 400.0

# White in an 8-bit channel.
# Source: 2^8 - 1.
LEVELS_8_BIT = 255

# Coverage factor of the expanded uncertainties.
# Source: about 95 % of a normal distribution; JCGM 100:2008, 6.3.3.
COVERAGE_FACTOR = 2.0

# JPEG quality of the annotated pictures.
# Source: at 92 with full colour resolution, 1 px lines on glass show no ringing at 400 % (looked at).
MARKED_JPEG_QUALITY = 92

# Least width of a piece, in px, that is compared with another.
# Source: photos of three rendered pieces made smaller: at 300 px the same piece is still told or left open, at 160 and
# 200 px one was called another piece.
COMPARED_LEAST_PX = 250.0

# Largest spread of light, as a share of the piece's width, that is compared.
# Source: the same photos blurred: from 1 % on nothing is told of the piece but "cannot tell", or wrongly; a fifth more
# leaves room for pieces whose own edges are soft.
COMPARED_BLUR_RATIO = 0.012
