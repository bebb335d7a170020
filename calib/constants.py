"""Numbers of the card, the camera and the millimetre, each with its source."""

import math

# ---- Measured -------------------------------------------------------------
# Source: JCGM 100:2008, 7.2.6: at most two significant digits in U.
UNCERTAINTY_DIGITS = 2

# ---- robust statistics -------------------------------------------------------
# Standard deviation of normal noise per median absolute deviation.
# Source: 1 / 0.6745, the normal distribution's upper quartile.
MAD_TO_SD = 1.4826

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
# at a phone's short lens, part of which its maker corrects; specimen scatter 1 % (from memory).
U_FOCAL_EXIF_RATIO = 0.01
# Rounding of the Exif value to whole millimetres. Source: rectangular ±0.5 mm.
U_F35_ROUNDING_MM = 0.5 / math.sqrt(3)
# Focal length when nothing is known: phones and normal lenses, 24 mm to 105 mm.
# Source: log-normal with nine in ten between those two (from memory: the usual range of phones).
FOCAL_UNKNOWN_F35_MM = 50.0
U_FOCAL_UNKNOWN_RATIO = 0.45
# Standard uncertainty of the principal point as a share of the photo's diagonal.
# Source: lens centring of phones is within about 1 % (from memory); small crops come on top.
U_CENTRE_RATIO = 0.004
# The same after cropping to taste. Source: a third of the picture cut off one side moves it by 0.12.
U_CENTRE_CROPPED_RATIO = 0.12
# Relative uncertainty of the focal length from Exif after such a crop, whose diagonal is shorter.
# Source: a quarter cut off one side of a 4:3 picture shortens its diagonal by 9 % to 17 %.
U_FOCAL_CROPPED_RATIO = 0.12
# Standard uncertainty of the radial term k1 without a profile.
# Source: phone photos are corrected in the camera to within a few per cent at the edge.
U_K1 = 0.05
# Where the fit states lens distortion, px from the principal point.
# Source: free choice; near the corners of a 3-megapixel photo.
BARREL_AT_PX = 1000.0
# What one radial term leaves out of a lens, as a doubt of k1 that more corners do not lessen.
# Source: tests/benchmark/card_accuracy.py, side views, where white is clipped.
U_K1_MODEL = 0.002
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
# How far in from an edge its dark level is read: share of a module, and limits in px.
# Source: the dark border is one module wide; 8 px hold the blur of a usable photo (sigma 2 px).
EDGE_REACH_MODULES = 0.5
EDGE_REACH_MIN_PX = 2.0
# The same outwards for the light level. Source: near enough that light falling off over the card
# shifts the half level least: 0.015 px against 0.022 px at 0.32, where the frame card's margin ends.
EDGE_MARGIN_MODULES = 0.2
# A margin narrower than this does not show its light through the blur; the light is then read this
# far out, at the neighbouring edges. Source: three sigma of a sharp photo's blur; the frame
# card's inner margins are 2.8 modules wide, its outer ones 0.35.
EDGE_MARGIN_MIN_PX = 2.5
EDGE_BEYOND_MODULES = 0.9
# Of two neighbouring edges, one darker than this share of the other sees no white but the table.
# Source: light falls off by less than a quarter over the 20 mm between them.
EDGE_NO_WHITE_RATIO = 0.75
EDGE_REACH_MAX_PX = 8.0
EDGE_SAMPLE_STEP_PX = 0.8
# Places along an edge, and the share of it left out at each end for the rounding of corners.
# Source: half a module (1/14) plus the blur; 24 places bring the line's scatter under 0.01 px.
EDGE_POSITIONS = 24
EDGE_ENDS_RATIO = 0.1
EDGE_PASSES = 3
# Least step of linear light over an edge, and least share of places with a crossing.
# Source: ten codes of an 8-bit photo near black; half an edge still fixes a line.
EDGE_CONTRAST_MIN = 0.003
EDGE_CROSSINGS_MIN_RATIO = 0.5
# What edge scatter does not show: lens curvature over a marker, print, JPEG blocks.
# Source: tests/benchmark/card_accuracy.py, residuals of photos with known poses.
U_CORNER_FLOOR_PX = 0.02

# ---- which markers are the card's ------------------------------------------
# A marker is in its place if its corners are predicted within this share of its side.
# Source: strong barrel distortion (k1 = -0.1 at r = 0.35) bends by 1.2 % of the card, 0.12 sides.
CONSENSUS_TOLERANCE_RATIO = 0.25
CONSENSUS_PAIRS_MAX = 600  # Source: all pairs of 35 markers; half a millisecond for ten pairs

# ---- pose fit ----------------------------------------------------------------
# Beyond this many uncertainties a marker pulls with constant force.
# Source: P. J. Huber, 1964: 95 % efficiency at 1.345 for normal scatter; wider for few markers.
HUBER_SIGMAS = 2.0
# Errors that a marker's corners share. Outset: ink gain of 0.1 mm at 8 px/mm, and white
# clipped by exposure, which moves its edges by up to 1 px. Shift: light falling off over it.
# Source: tests/benchmark/card_accuracy.py, corners of photos with known poses.
U_MARKER_OUTSET_PX = 1.0
U_MARKER_SHIFT_PX = 0.015
# A marker with more misfit than this is part hidden, or is not what it seems: fitted without it.
# Source: Huber weights still let a corner that is 10 px off pull by 0.1 px.
MISFIT_DROPPED_SIGMAS = 5.0
MISFIT_ROUNDS_MAX = 4  # Source: each round frees the others of one more pull; two are enough as a rule.
# A corner without its own edges counts with this. Source: the detector's corners are good to 1 px to 3 px.
U_COARSE_PX = 3.0
# Corners set better than this tell how well the fit predicts. Source: ten times a good photo's corners.
U_WELL_SET_PX = 0.3
# A corner that is not used counts with this. Source: larger than any photo.
U_UNUSED_PX = 1e5
# Height of a card's edge over its middle, as a share of half its width, when it lies on a table.
# Source: 0.2 mm for the frame card, two sheets of paper.
U_BEND_RATIO = 0.002
FIT_STEPS_MAX = 60  # Source: starts a factor of two off in focal length need fewer than 30.
# A focal length or a flatness pulled further than this from what was expected is looked into.
# Source: two-sided normal, 1 in 2000.
PULL_MAX = 3.5
# The same height where the card is taken to be bent. Source: 10 mm on the frame card, a curled sheet.
U_BEND_LOOSE_RATIO = 0.1
# Without Exif and profile: how far the camera stands from the card, and its doubt as a ratio.
# Source: README asks for 30 cm to 50 cm; nine in ten photos within 25 cm to 58 cm.
DISTANCE_UNKNOWN_FOCAL_MM = 380.0
U_DISTANCE_UNKNOWN_FOCAL_RATIO = 0.25
# Starts of the fit where the focal length is unknown, as shares of its prior.
# Source: covers 17 mm to 125 mm equivalents within a factor of 1.5 of a start.
FOCAL_STARTS_RATIO = (0.5, 1.0, 2.0)
# A focal length less sure than this is worth a warning. Source: 5 % of it shifts the
# diameter of a 70 mm piece by up to 0.4 %, a sixth of the usual expanded uncertainty.
U_FOCAL_UNSURE_RATIO = 0.05

# ---- faults of a card ----------------------------------------------------------
# A bend is reported when it is both this high at the card's edge (share of half its width)
# and this many uncertainties. Source: 1 mm on the frame card shifts its edge by 0.25 % of the width.
BEND_REPORTED_RATIO = 0.01
BEND_REPORTED_SIGMAS = 4.0
# A bend that no length can be taken from. Source: 4 mm on the frame card.
BEND_UNFIT_RATIO = 0.042
# A camera, print or flatness pulled this far from all that is known of such is impossible: at the
# distance's prior, nearer than 8 cm or further than 1.7 m. Source: two-sided normal, 2 in 1e9.
PULL_UNFIT = 6.0
# Misfit of the markers that no length can be taken from, as a share of a marker's side.
# Source: 0.8 % of a 20 mm marker is 0.16 mm, half the budget of a 70 mm piece at 0.5 %.
MISFIT_UNFIT_RATIO = 0.008

# ---- paper -----------------------------------------------------------------------
# Source: ISO 216 (A4); 8.5 in x 11 in at exactly 25.4 mm (US Letter).
PAPER_SIZES_MM: dict[str, tuple[float, float]] = {'a4': (210.0, 297.0), 'letter': (215.9, 279.4)}

# ---- camera profile ----------------------------------------------------------------
# Source: three views in general position fix five inner parameters of a plane's camera
# (Z. Zhang, 2000, from memory); a fourth shows whether they agree.
CALIBRATION_VIEWS_MIN = 4
# Source: half of what Exif gives (1 % to 2 %), or a profile would not be worth making.
U_FOCAL_CALIBRATED_RATIO = 0.007

# ---- grey patches --------------------------------------------------------------------
# Share of a patch's side that is read. Source: leaves 1.5 mm for blur and misfit of the pose.
PATCH_INNER_RATIO = 0.7
# A channel at this code or above counts as clipped; a patch with more than this share of such
# pixels is not read. Source: JPEG rings by some codes below white; noise must not decide.
PATCH_CLIPPED_CODE = 252
PATCH_CLIPPED_RATIO = 0.1
