"""The fit of a card whose camera is known, without looking at any photo."""

import numpy as np

from calib.card_fit import CardFit
from calib.markers import MarkerCorners
from calib.pose import PARAMETER_NAMES
from tests.support.card_scene import CardScene


def card_fit_of(scene: CardScene, *, u_log_distance: float = 0.0, u_print_ratio: float = 0.0) -> CardFit:
    """The true camera of a scene as a fit; focal length and distance go together in what is unsure."""
    covariance = np.zeros((len(PARAMETER_NAMES), len(PARAMETER_NAMES)))
    together = [PARAMETER_NAMES.index('log_focal'), PARAMETER_NAMES.index('log_distance')]
    covariance[np.ix_(together, together)] = u_log_distance**2
    nothing = MarkerCorners(np.empty(0, int), np.empty((0, 4, 2)), np.empty((0, 4)), scene.size_px)
    return CardFit(
        spec=scene.spec,
        camera=scene.camera,
        rotation=scene.rotation,
        translation_mm=scene.translation_mm,
        covariance=covariance,
        parameter_names=PARAMETER_NAMES,
        corners=nothing,
        rms_px=0.0,
        print_scale_ratio=scene.print_ratio,
        u_print_ratio=u_print_ratio,
        flags=(),
    )
