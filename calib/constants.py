"""Numbers of the card, the camera and the millimetre, each with its source."""

import math

# ---- Measured -------------------------------------------------------------
# Source: JCGM 100:2008, 7.2.6: at most two significant digits in U.
UNCERTAINTY_DIGITS = 2

# ---- print ----------------------------------------------------------------
# Length of the check ruler on every printed page.
# Source: our own card layout (cards/*.json fit beside it on A4 and Letter).
RULER_MM = 100.0
# Standard uncertainty of the scale of a print at 100 % that nobody measured.
# Source: rectangular ±0.5 %, the usual image-size tolerance in office printer data sheets
# (from memory); JCGM 100:2008, 4.3.7 for the square root of three.
U_PRINT_UNMEASURED_RATIO = 0.005 / math.sqrt(3)
# Standard uncertainty of reading the check ruler with a millimetre rule.
# Source: rectangular ±0.35 mm at both ends together (half a division each, in squares).
U_RULER_READING_MM = 0.35 / math.sqrt(3)
# A typed ruler length beyond these limits is a typing error or another ruler.
# Source: "fit to page" shrinks A4 to Letter by 0.94; copiers' fixed steps start at 0.71 and 1.41.
RULER_LIMITS_MM = (70.0, 142.0)
# Standard uncertainty of the print's height-to-width ratio.
# Source: paper feed and scan line are driven apart; their tolerances (see above) partly cancel.
U_PRINT_ASPECT_RATIO = 0.0005

# ---- camera priors ---------------------------------------------------------
# Diagonal of the 36 mm x 24 mm frame that "35 mm equivalent" refers to.
# Source: CIPA DCG-001 (from memory); Exif 2.32, tag 0xA405.
FULL_FRAME_DIAGONAL_MM = math.hypot(36.0, 24.0)
# Standard uncertainty of a focal length from Exif, besides rounding to a whole millimetre.
# Source: focusing at arm's length lengthens the image distance by f/(u - f), some 1 % to 3 %
# for a phone's tele lens; makers' rounding. The width rule would be 4 % off on 4:3 sensors.
U_FOCAL_EXIF_RATIO = 0.015
# Rounding of the Exif value to whole millimetres. Source: rectangular ±0.5 mm.
U_F35_ROUNDING_MM = 0.5 / math.sqrt(3)
# Focal length when nothing is known: phones and normal lenses, 24 mm to 105 mm.
# Source: log-normal with nine in ten between those two (from memory: the usual range of phones).
FOCAL_UNKNOWN_F35_MM = 50.0
U_FOCAL_UNKNOWN_RATIO = 0.45
# Standard uncertainty of the principal point as a share of the photo's diagonal.
# Source: lens centring of phones is within about 1 % (from memory); small crops come on top.
U_CENTRE_RATIO = 0.004
# Standard uncertainty of the radial term k1 without a profile.
# Source: phone photos are corrected in the camera to within a few per cent at the edge.
U_K1 = 0.05
# Newton steps that undo the radial term. Source: below 1e-12 after four for |k1| <= 0.3, r <= 0.8.
UNDISTORT_STEPS = 6

# ---- markers ---------------------------------------------------------------
# The longer side that a photo is reduced to before the detector looks at it.
# Source: a 20 mm marker on a 190 mm card then still has 150 px; one 20 times smaller is refused.
DETECT_SIDE_PX = 2400
# Windows of the detector's adaptive threshold. Source: OpenCV's defaults.
DETECT_WINDOW_MIN_PX = 3
DETECT_WINDOW_MAX_PX = 23
DETECT_WINDOW_STEP_PX = 10
# How far across an edge its levels are sampled: share of a module, and limits.
# Source: the dark border is one module wide; 8 px hold the blur of a usable photo (sigma 2 px).
EDGE_REACH_MODULES = 0.8
EDGE_REACH_MIN_PX = 2.0
EDGE_REACH_MAX_PX = 8.0
EDGE_SAMPLE_STEP_PX = 0.8
# Places along an edge, and the share of it left out at each end for the rounding of corners.
# Source: half a module (1/14) plus the blur; 24 places bring the line's scatter under 0.01 px.
EDGE_POSITIONS = 24
EDGE_ENDS_RATIO = 0.1
EDGE_PASSES = 2
# Least step of linear light over an edge, and least share of places with a crossing.
# Source: three times the noise of a dark but usable phone photo; half an edge still fixes a line.
EDGE_CONTRAST_MIN = 0.02
EDGE_CROSSINGS_MIN_RATIO = 0.5
# What edge scatter does not show: lens curvature over a marker, print, JPEG blocks.
# Source: tests/benchmark/card_accuracy.py, residuals of photos with known poses.
U_CORNER_FLOOR_PX = 0.03

# ---- which markers are the card's ------------------------------------------
# A marker is in its place if its corners are predicted within this share of its side.
# Source: strong barrel distortion (k1 = -0.1 at r = 0.35) bends by 1.2 % of the card, 0.12 sides.
CONSENSUS_TOLERANCE_RATIO = 0.25
CONSENSUS_PAIRS_MAX = 600  # Source: all pairs of 35 markers; half a millisecond for ten pairs

# ---- pose fit ----------------------------------------------------------------
# Beyond this many uncertainties a corner pulls with constant force.
# Source: P. J. Huber, 1964: 95 % efficiency at 1.345 for normal scatter; wider for few corners.
HUBER_SIGMAS = 2.0
# Outset of each corner, common to all, that blur and paper leave. Source: bench of known poses.
U_OUTSET_RATIO = 0.003
# A focal length more than this many uncertainties off its source is not believed.
# Source: two-sided normal, 1 in 2000.
FOCAL_PULL_MAX = 3.5
