"""How long a printed millimetre is."""

from dataclasses import dataclass

from calib.constants import (
    RULER_LIMITS_MM,
    RULER_MM,
    U_PRINT_ASPECT_RATIO,
    U_PRINT_UNMEASURED_RATIO,
    U_RULER_READING_MM,
)
from calib.errors import ActionableError


@dataclass(frozen=True, slots=True)
class PrintScale:
    """The true length of the printed check ruler, and how sure it is.

    Attributes
    ----------
    measured_ruler_mm : float
        Length of the printed 100 mm ruler as the user measured it; 100 if nobody did.
    u_mm : float
        Its standard uncertainty.
    u_aspect_ratio : float
        Standard uncertainty of the print's height against its width.
    """

    measured_ruler_mm: float = RULER_MM
    u_mm: float = U_PRINT_UNMEASURED_RATIO * RULER_MM
    u_aspect_ratio: float = U_PRINT_ASPECT_RATIO

    def __post_init__(self) -> None:
        low, high = RULER_LIMITS_MM
        if not low <= self.measured_ruler_mm <= high:
            raise ActionableError(
                f"The check ruler of the card is {RULER_MM:.0f} mm long at true size, and"
                f" {self.measured_ruler_mm:g} mm was given; {low:.0f} to {high:.0f} mm can be used.",
                "Measure the printed ruler from its first to its last tick, in millimetres,"
                " or print the card again at 100 %.",
            )
        if not 0 < self.u_mm < RULER_MM / 10:
            raise ValueError(f'u_mm must be between 0 and {RULER_MM / 10}, got {self.u_mm}')

    @classmethod
    def measured(cls, ruler_mm: float, u_mm: float = U_RULER_READING_MM) -> 'PrintScale':
        """The scale of a print whose ruler somebody measured."""
        return cls(ruler_mm, u_mm)

    @property
    def ratio(self) -> float:
        """True length over nominal length."""
        return self.measured_ruler_mm / RULER_MM

    @property
    def u_ratio(self) -> float:
        """Standard uncertainty of a length for the print's sake, as a share of that length."""
        return self.u_mm / self.measured_ruler_mm
