"""A glass dome on a printed card, ray by ray: its outline, mirror image and shadow follow from a few numbers.

Nothing here comes from the program but the card's raster and the camera: the dome is intersected, mirrored and shaded
by its own few lines of optics.
"""

from dataclasses import dataclass, replace

import cv2
import numpy as np

from calib.linear_light import encode_srgb
from tests.support.card_scene import RASTER_PX_PER_MM, TABLE, CardScene, draw_print


@dataclass(frozen=True)
class DomeScene:
    """An ellipsoid cut off by the card, and the card's scene.

    `half_axes_mm` are those of the widest ring, the larger along `turn_deg` (card frame). `sides` > 2 cuts that many
    upright facets at `facet_ratio` of the larger half-axis. `ground` is the reflectance of the clear field.
    """

    card: CardScene
    middle_mm: tuple[float, float] = (0.0, 0.0)
    half_axes_mm: tuple[float, float] = (35.0, 35.0)
    turn_deg: float = 0.0
    ring_mm: float = 25.0
    rise_mm: float = 33.0
    sides: int = 0
    facet_ratio: float = 0.9
    ground: float = 0.18
    body: tuple[float, float, float] = (0.5, 0.15, 0.1)
    stripes: tuple[float, float, float] = (0.1, 0.3, 0.5)
    n_stripes: int = 9
    mirror_index: float = 1.52
    shadow: float = 0.5
    oversampling: int = 2
    seed: int = 5

    def but(self, **changes) -> 'DomeScene':
        return replace(self, **changes)

    @property
    def shape(self) -> np.ndarray:
        """(3, 3) matrix that makes the ellipsoid a unit sphere."""
        turn = np.deg2rad(self.turn_deg)
        axes = np.array([[np.cos(turn), np.sin(turn), 0], [-np.sin(turn), np.cos(turn), 0], [0, 0, 1.0]])
        return axes.T @ np.diag(1 / np.array([*self.half_axes_mm, self.rise_mm])) @ axes

    @property
    def centre_mm(self) -> np.ndarray:
        return np.array([*self.middle_mm, self.ring_mm])

    @property
    def height_mm(self) -> float:
        return self.ring_mm + self.rise_mm

    def outline_px(self, n_points: int = 720) -> np.ndarray:
        """The silhouette: where the plane of tangent points (the camera's polar) cuts the ellipsoid, projected."""
        eye = self.shape @ (self.card.camera_position_mm - self.centre_mm)
        distance = np.linalg.norm(eye)
        toward = eye / distance
        side = np.linalg.svd(toward[None])[2][1:]
        turn = np.linspace(0, 2 * np.pi, n_points, endpoint=False)[:, None]
        ring = np.sqrt(1 - distance**-2) * (np.cos(turn) * side[0] + np.sin(turn) * side[1])
        return self.card.project_mm((ring + toward / distance) @ np.linalg.inv(self.shape).T + self.centre_mm)


def photograph_dome(scene: DomeScene) -> np.ndarray:
    """The photo, (H, W, 3) uint8 sRGB."""
    width, height = scene.card.size_px
    n = scene.oversampling
    x, y = np.meshgrid((np.arange(width * n) + 0.5) / n - 0.5, (np.arange(height * n) + 0.5) / n - 0.5)
    rays = scene.card.camera.rays(np.column_stack([x.ravel(), y.ravel()])) @ scene.card.rotation
    origin = scene.card.camera_position_mm
    raster = _raster(scene)
    light = _ground_light(scene, raster, origin, rays)
    hit, along = _first_hit(scene, origin, rays)
    light[hit] = _glass_light(scene, raster, origin + along[hit, None] * rays[hit], rays[hit])
    light = light.reshape(height * n, width * n, 3).astype(np.float32)
    light = cv2.GaussianBlur(cv2.resize(light, (width, height), interpolation=cv2.INTER_AREA), (0, 0), 0.7)
    noise = scene.card.noise * np.random.default_rng(scene.seed).standard_normal(light.shape)
    return np.round(255 * encode_srgb(np.clip(light + noise, 0, 1))).astype(np.uint8)


def _raster(scene: DomeScene) -> np.ndarray:
    raster = draw_print(scene.card.spec)
    half = np.round(np.array(scene.card.spec.clear_field_mm) / 2 * RASTER_PX_PER_MM).astype(int)
    middle = np.array(raster.shape) // 2
    clear = raster[middle[0] - half[1] : middle[0] + half[1], middle[1] - half[0] : middle[1] + half[0]]
    patches = np.isin(clear, [np.float32(patch.reflectance_ratio) for patch in scene.card.spec.grey_patches])
    clear[~patches] = scene.ground
    return raster


def _on_card(raster: np.ndarray, places_mm: np.ndarray) -> np.ndarray:
    x = places_mm[:, 0] * RASTER_PX_PER_MM + raster.shape[1] / 2 - 0.5
    y = raster.shape[0] / 2 - places_mm[:, 1] * RASTER_PX_PER_MM - 0.5
    # OpenCV takes maps of at most 32767 columns, so they are folded into rows.
    fold = 4096
    padded = np.zeros((-(-len(x) // fold) * fold, 2), np.float32)
    padded[: len(x)] = np.column_stack([x, y])
    maps = padded.reshape(-1, fold, 2)
    seen = cv2.remap(
        raster, np.ascontiguousarray(maps[..., 0]), np.ascontiguousarray(maps[..., 1]), cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT, borderValue=TABLE,
    )  # fmt: skip
    return seen.ravel()[: len(x)]


def _ground_light(scene: DomeScene, raster: np.ndarray, origin: np.ndarray, rays: np.ndarray) -> np.ndarray:
    down = np.minimum(rays[:, 2], -1e-6)
    places = origin[:2] + (-origin[2] / down)[:, None] * rays[:, :2]
    apart = np.linalg.norm((places - scene.middle_mm) @ scene.shape[:2, :2].T, axis=1)
    shade = 1 - scene.shadow * np.exp(-np.maximum(apart - 0.8, 0) / 0.25)
    return np.repeat((_on_card(raster, places) * shade)[:, None], 3, axis=1)


def _first_hit(scene: DomeScene, origin: np.ndarray, rays: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Which rays meet the glass, and how far along: the ellipsoid, cut by upright facets."""
    start, step = scene.shape @ (origin - scene.centre_mm), rays @ scene.shape.T
    a, b, c = (step**2).sum(1), step @ start, start @ start - 1
    root = b**2 - a * c
    enter = np.where(root > 0, (-b - np.sqrt(np.maximum(root, 0))) / a, np.inf)
    leave = np.where(root > 0, (-b + np.sqrt(np.maximum(root, 0))) / a, -np.inf)
    for k in range(scene.sides):
        turn = np.deg2rad(scene.turn_deg) + 2 * np.pi * k / scene.sides
        normal = np.array([np.cos(turn), np.sin(turn), 0.0])
        room = scene.facet_ratio * scene.half_axes_mm[0] - (origin - scene.centre_mm) @ normal
        speed = rays @ normal
        at = room / np.where(np.abs(speed) < 1e-12, 1e-12, speed)
        enter = np.where(speed < 0, np.maximum(enter, at), enter)
        leave = np.where(speed > 0, np.minimum(leave, at), leave)
    foot = -origin[2] / np.minimum(rays[:, 2], -1e-6)
    return (enter < leave) & (enter < foot), enter


def _glass_light(scene: DomeScene, raster: np.ndarray, points: np.ndarray, rays: np.ndarray) -> np.ndarray:
    unit = (points - scene.centre_mm) @ scene.shape.T
    normals = unit @ scene.shape
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    cosine = np.clip(-(normals * rays).sum(1), 0, 1)
    inner = np.sqrt(1 - (1 - cosine**2) / scene.mirror_index**2)
    m = scene.mirror_index
    share = (
        ((cosine - m * inner) / (cosine + m * inner)) ** 2 + ((m * cosine - inner) / (m * cosine + inner)) ** 2
    ) / 2
    mirrored = rays + 2 * cosine[:, None] * normals
    down = mirrored[:, 2] < -1e-3
    reach = np.where(down, -points[:, 2] / np.where(down, mirrored[:, 2], -1), 0)
    seen = np.where(down, _on_card(raster, points[:, :2] + reach[:, None] * mirrored[:, :2]), 0.1)
    turn = np.arctan2(unit[:, 1], unit[:, 0])
    stripe = (np.floor(turn / (2 * np.pi) * 2 * scene.n_stripes + 4 * np.hypot(unit[:, 0], unit[:, 1])) % 2)[:, None]
    body = np.asarray(scene.body) * stripe + np.asarray(scene.stripes) * (1 - stripe)
    return body * (1 - share[:, None]) + (share * seen)[:, None]
