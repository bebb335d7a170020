"""A printed card photographed by a camera that is known exactly: no glass, no lamp, only geometry, blur and noise."""

from dataclasses import dataclass, replace

import cv2
import numpy as np
from scipy.interpolate import RectBivariateSpline

from calib.camera import Camera
from calib.card import CardSpec
from calib.linear_light import encode_srgb
from calib.print_card import marker_cells

PAPER, INK, TABLE = 0.8, 0.05, 0.3
RASTER_PX_PER_MM = 10


@dataclass(frozen=True)
class CardScene:
    """Where the camera is, and what the card looks like.

    `tilt_deg` leans the camera over, `turn_deg` spins it, `bend_mm` lifts the card's left and right edges.
    """

    spec: CardSpec
    focal_px: float = 1400.0
    size_px: tuple[int, int] = (800, 800)
    centre_off_px: tuple[float, float] = (0.0, 0.0)
    k1: float = 0.0
    distance_mm: float = 400.0
    tilt_deg: float = 0.0
    turn_deg: float = 0.0
    aim_mm: tuple[float, float] = (0.0, 0.0)
    bend_mm: float = 0.0
    print_ratio: float = 1.0
    blur_px: float = 0.7
    noise: float = 0.0
    exposure: float = 1.0
    seed: int = 1

    def but(self, **changes) -> 'CardScene':
        return replace(self, **changes)

    @property
    def camera(self) -> Camera:
        width, height = self.size_px
        centre = ((width - 1) / 2 + self.centre_off_px[0], (height - 1) / 2 + self.centre_off_px[1])
        return Camera(self.focal_px, centre, self.k1, self.size_px, 0.0, 'known')

    @property
    def rotation(self) -> np.ndarray:
        """Card to camera axes: looking down, then leaning about the card's x axis, then spun."""
        down = np.diag([1.0, -1.0, -1.0])
        lean = cv2.Rodrigues(np.array([np.deg2rad(self.tilt_deg), 0.0, 0.0]))[0]
        spin = cv2.Rodrigues(np.array([0.0, 0.0, np.deg2rad(self.turn_deg)]))[0]
        return spin @ lean @ down

    @property
    def translation_mm(self) -> np.ndarray:
        return np.array([0, 0, self.distance_mm]) - self.rotation @ np.array([*self.aim_mm, 0.0])

    @property
    def camera_position_mm(self) -> np.ndarray:
        return -self.rotation.T @ self.translation_mm

    def project_mm(self, points_mm: np.ndarray) -> np.ndarray:
        return self.camera.project(np.asarray(points_mm) @ self.rotation.T + self.translation_mm)


def draw_print(spec: CardSpec) -> np.ndarray:
    """The card as printed, linear reflectance, RASTER_PX_PER_MM, with a margin of 20 mm of table round it."""
    width, height = (side + 40 for side in spec.outer_size_mm)
    raster = np.full((round(height * RASTER_PX_PER_MM), round(width * RASTER_PX_PER_MM)), TABLE, np.float32)

    def fill(x0, y0, x1, y1, value):
        cols = [round((x + width / 2) * RASTER_PX_PER_MM) for x in (x0, x1)]
        rows = [round((height / 2 - y) * RASTER_PX_PER_MM) for y in (y1, y0)]
        raster[rows[0] : rows[1], cols[0] : cols[1]] = value

    half_w, half_h = spec.outer_size_mm[0] / 2, spec.outer_size_mm[1] / 2
    fill(-half_w, -half_h, half_w, half_h, PAPER)
    for patch in spec.grey_patches:
        (x, y), h = patch.centre_mm, patch.size_mm / 2
        fill(x - h, y - h, x + h, y + h, patch.reflectance_ratio)
    side = round(spec.marker_size_mm * RASTER_PX_PER_MM)
    for marker in spec.markers:
        cells = marker_cells(marker.id, spec.marker_dictionary)
        rows = (np.arange(side) + 0.5) * len(cells) / side
        ink = cells[rows.astype(int)][:, rows.astype(int)]
        x = round((marker.centre_mm[0] - spec.marker_size_mm / 2 + width / 2) * RASTER_PX_PER_MM)
        y = round((height / 2 - marker.centre_mm[1] - spec.marker_size_mm / 2) * RASTER_PX_PER_MM)
        raster[y : y + side, x : x + side] = np.where(ink, INK, PAPER)
    return raster


def photograph(scene: CardScene, oversampling: int = 3) -> np.ndarray:
    """The photo, (H, W, 3) uint8 sRGB: blurred and made noisy in linear light, then coded."""
    raster = draw_print(scene.spec)
    map_x, map_y = _raster_maps(scene, raster.shape, oversampling)
    fine = cv2.remap(raster, map_x, map_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=TABLE)
    light = cv2.resize(fine, scene.size_px, interpolation=cv2.INTER_AREA)
    if scene.blur_px:
        light = cv2.GaussianBlur(light, (0, 0), scene.blur_px)
    rgb = scene.exposure * np.repeat(light[:, :, None], 3, axis=2)
    rgb = rgb + scene.noise * np.random.default_rng(scene.seed).standard_normal(rgb.shape)
    return np.round(255 * encode_srgb(np.clip(rgb, 0, 1))).astype(np.uint8)


def _raster_maps(scene: CardScene, raster_shape, oversampling: int) -> tuple[np.ndarray, np.ndarray]:
    """Raster column and row that each fine pixel sees, traced on a coarse grid and filled in by cubics."""
    width, height = scene.size_px
    step = 8
    cols = np.arange(-step, width + 2 * step, step, dtype=float)
    rows = np.arange(-step, height + 2 * step, step, dtype=float)
    x, y = np.meshgrid(cols, rows)
    places_mm = _seen_on_card(scene, np.column_stack([x.ravel(), y.ravel()])) / scene.print_ratio
    coarse_x = (places_mm[:, 0] * RASTER_PX_PER_MM + raster_shape[1] / 2 - 0.5).reshape(x.shape)
    coarse_y = (raster_shape[0] / 2 - places_mm[:, 1] * RASTER_PX_PER_MM - 0.5).reshape(x.shape)
    fine_cols = (np.arange(width * oversampling) + 0.5) / oversampling - 0.5
    fine_rows = (np.arange(height * oversampling) + 0.5) / oversampling - 0.5
    maps = [
        RectBivariateSpline(rows, cols, coarse)(fine_rows, fine_cols).astype(np.float32)
        for coarse in (coarse_x, coarse_y)
    ]
    return maps[0], maps[1]


def _seen_on_card(scene: CardScene, points_px: np.ndarray) -> np.ndarray:
    """Where rays meet the (bent) card, by fixed-point steps on the height; far off where they miss."""
    rays = scene.camera.rays(points_px) @ scene.rotation
    origin = scene.camera_position_mm
    half = max(scene.spec.outer_size_mm) / 2
    height = np.zeros(len(rays))
    down = np.minimum(rays[:, 2], -1e-6)
    for _ in range(6 if scene.bend_mm else 1):
        places = origin[:2] + ((height - origin[2]) / down)[:, None] * rays[:, :2]
        height = scene.bend_mm * np.clip(places[:, 0] / half, -1.5, 1.5) ** 2
    return np.clip(places, -1e4, 1e4)
