"""OpenCV's process-wide state, set in this one place so that the same photo always gives the same numbers."""

import cv2

_SEED = 0


def pin_opencv() -> None:
    """One thread and a fixed seed for the calls that draw random numbers; called before each photo.

    One thread a photo also serves speed: a batch runs one process a core.
    """
    cv2.setNumThreads(1)
    cv2.setRNGSeed(_SEED)
