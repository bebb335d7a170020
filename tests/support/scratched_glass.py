"""Close-ups of glass whose every mark is drawn: noise, haze, lines, spots and grainy tracks of known place and size."""

import cv2
import numpy as np

FINE = 4  # drawn so many times finer, then averaged, so that widths are true to a quarter of a pixel


def clean_glass(seed: int, size_px: tuple[int, int] = (320, 320), noise_code: float = 2.0) -> np.ndarray:
    """Evenly lit glass, (H, W) float64 in code steps, with a lens's fall-off and slightly blurred noise."""
    rng = np.random.default_rng(seed)
    height, width = size_px
    y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j]
    noise = cv2.GaussianBlur(rng.normal(0, 1, (height, width)), (0, 0), 0.7)
    return 150 - 15 * (x**2 + y**2) + 6 * x + noise * (noise_code / noise.std())


def with_line(grey: np.ndarray, start, end, width_px: float, contrast_code: float) -> np.ndarray:
    """The picture with a straight line added, ends cut square within the width."""
    return grey + contrast_code * _coverage(grey.shape, start, end, width_px)


def with_spot(grey: np.ndarray, centre, diameter_px: float, contrast_code: float) -> np.ndarray:
    """The picture with a filled disc added."""
    height, width = grey.shape
    fine = np.zeros((height * FINE, width * FINE), np.float32)
    at = tuple(round((v + 0.5) * FINE) for v in centre)
    cv2.circle(fine, at, round(diameter_px * FINE / 2), 1.0, -1)
    return grey + contrast_code * cv2.resize(fine, (width, height), interpolation=cv2.INTER_AREA)


def with_track(grey: np.ndarray, start, end, width_px: float, contrast_code: float, seed: int) -> np.ndarray:
    """The picture with a grainy track: a bundle of crumbs, bright and dark."""
    rng = np.random.default_rng(seed)
    grain = cv2.GaussianBlur(rng.normal(0, 1, grey.shape), (0, 0), 1.5)
    grain = 0.6 + grain / grain.std()
    return grey + contrast_code * grain * _coverage(grey.shape, start, end, width_px)


def as_photo(grey: np.ndarray) -> np.ndarray:
    """(H, W, 3) uint8 of a grey picture."""
    return np.repeat(np.clip(np.rint(grey), 0, 255).astype(np.uint8)[:, :, None], 3, axis=2)


def coverage_of(polygon_px: np.ndarray, start, end, reach_px: float = 2.0) -> float:
    """Share of a straight line, end to end, that lies within a polygon or near it."""
    share = np.linspace(0, 1, 101)[:, None]
    points = np.asarray(start) * (1 - share) + np.asarray(end) * share
    polygon = polygon_px.astype(np.float32)[:, None]
    return float(np.mean([cv2.pointPolygonTest(polygon, (float(x), float(y)), True) > -reach_px for x, y in points]))


def _coverage(shape, start, end, width_px: float) -> np.ndarray:
    height, width = shape
    start, end = np.asarray(start, float), np.asarray(end, float)
    along = (end - start) / np.linalg.norm(end - start)
    across = np.array([-along[1], along[0]]) * width_px / 2
    corners = np.stack([start + across, end + across, end - across, start - across])
    fine = np.zeros((height * FINE, width * FINE), np.float32)
    cv2.fillPoly(fine, [np.rint(((corners + 0.5) * FINE - 0.5) * 16).astype(np.int32)], 1.0, shift=4)
    return cv2.resize(fine, (width, height), interpolation=cv2.INTER_AREA)


def drawn_close_up(seed: int, side_px: int = 320) -> tuple[np.ndarray, np.ndarray]:
    """A close-up with scratches, spots, a track or none, haze, noise and JPEG loss, and where its marks are.

    Returns
    -------
    rgb : ndarray of shape (side, side, 3), uint8
    drawn : ndarray of shape (side, side), bool
        Every pixel of every mark, however faint.
    """
    rng = np.random.default_rng(seed)
    shape = (side_px, side_px)
    grey = clean_glass(seed, shape, float(np.exp(rng.uniform(0, 1.2)))) + _haze(rng, shape)
    sign = rng.choice([1, -1])
    drawn = np.zeros(shape, bool)
    plain = np.zeros(shape)
    for draw in _marks(rng, side_px, sign):
        layer = draw(plain)
        grey = grey + layer
        drawn |= layer != 0
    quality = int(rng.integers(80, 96))
    _, code = cv2.imencode('.jpg', as_photo(grey), [cv2.IMWRITE_JPEG_QUALITY, quality])
    return cv2.imdecode(code, cv2.IMREAD_COLOR), drawn


def _haze(rng: np.random.Generator, shape: tuple[int, int]) -> np.ndarray:
    """Smooth clouds of up to 10 code steps."""
    cloud = cv2.GaussianBlur(rng.normal(0, 1, shape), (0, 0), 40)
    return rng.uniform(0, 5) * cloud / cloud.std()


def _marks(rng: np.random.Generator, side_px: int, sign: int) -> list:
    """Ways to draw marks, nine in ten of one sign; contrasts from below the noise to glaring."""
    draws = []

    def contrast() -> float:
        return float(sign * rng.choice([1, 1, 1, 1, 1, 1, 1, 1, 1, -1]) * np.exp(rng.uniform(0, 4)))

    for _ in range(rng.integers(2, 10)):
        middle, turn = rng.uniform(0, side_px, 2), rng.uniform(0, np.pi)
        half = rng.uniform(10, 120) * np.array([np.cos(turn), np.sin(turn)])
        line = (middle - half, middle + half, float(np.exp(rng.uniform(0, 2))), contrast())
        draws.append(lambda grey, line=line: with_line(grey, *line))
    for _ in range(rng.integers(2, 10)):
        spot = (rng.uniform(5, side_px - 5, 2), float(np.exp(rng.uniform(1.1, 3.2))), contrast())
        draws.append(lambda grey, spot=spot: with_spot(grey, *spot))
    if rng.random() < 0.3:
        ends = rng.uniform(0, side_px, (2, 2))
        track = (*ends, rng.uniform(15, 40), contrast(), int(rng.integers(1 << 30)))
        draws.append(lambda grey: with_track(grey, *track))
    return draws
