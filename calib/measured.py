"""A value that knows how sure it is, cause by cause.

Standard uncertainties (k = 1) are combined by root sum of squares over named
causes, JCGM 100:2008, 5.1.2. Causes of the same name in two values are the
same cause (one print, one camera), so they add with their signs, not in
squares: JCGM 100:2008, 5.2.2, note 1 (correlation one).
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from calib.constants import UNCERTAINTY_DIGITS


@dataclass(frozen=True, slots=True)
class Measured:
    """A measured value and its signed standard uncertainties by named cause.

    Attributes
    ----------
    value : float
        Best estimate, in `unit`.
    components : tuple of (str, float)
        Cause and its contribution (sensitivity times standard uncertainty), in `unit`.
        The sign says which way the value moves when the cause grows.
    unit : str
        Unit of both.
    """

    value: float
    components: tuple[tuple[str, float], ...] = ()
    unit: str = 'mm'

    def __post_init__(self) -> None:
        names = [name for name, _ in self.components]
        if len(set(names)) != len(names):
            raise ValueError(f'each cause must be named once, got {names}')

    @property
    def u(self) -> float:
        """Combined standard uncertainty (k = 1), JCGM 100:2008, equation 10."""
        return math.hypot(*(part for _, part in self.components)) if self.components else 0.0

    def expanded(self, k: float = 2.0) -> float:
        """Expanded uncertainty U = k u, JCGM 100:2008, 6.2.1."""
        return k * self.u

    def is_surely_above(self, limit: float, k: float = 2.0) -> bool:
        """Whether the value less its expanded uncertainty still exceeds `limit`."""
        return self.value - self.expanded(k) > limit

    def is_surely_below(self, limit: float, k: float = 2.0) -> bool:
        """Whether the value plus its expanded uncertainty is still under `limit`."""
        return self.value + self.expanded(k) < limit

    def scaled(self, factor: float, unit: str | None = None) -> 'Measured':
        """The value and each component times an exact `factor`."""
        parts = tuple((name, part * factor) for name, part in self.components)
        return Measured(self.value * factor, parts, self.unit if unit is None else unit)

    def with_component(self, cause: str, u: float) -> 'Measured':
        """The same value with one more cause of doubt (or a bigger one of that name)."""
        parts = dict(self.components)
        parts[cause] = math.hypot(parts.get(cause, 0.0), u)
        return Measured(self.value, tuple(parts.items()), self.unit)

    def component(self, cause: str) -> float:
        """The contribution of one cause, 0 if it is not in the budget."""
        return dict(self.components).get(cause, 0.0)

    def budget(self) -> tuple[tuple[str, float, float], ...]:
        """Rows (cause, |contribution|, share of u squared), largest first."""
        u2 = self.u**2
        rows = [(name, abs(part), part**2 / u2 if u2 else 0.0) for name, part in self.components]
        return tuple(sorted(rows, key=lambda row: (-row[1], row[0])))


def combine(value: float, terms: Iterable[tuple[float, Measured]], unit: str = 'mm') -> Measured:
    """First-order propagation through any function of measured inputs.

    Parameters
    ----------
    value : float
        The function's value at the inputs' best estimates.
    terms : iterable of (float, Measured)
        The partial derivative with respect to each input, and that input.
    unit : str
        Unit of the result.

    Returns
    -------
    Measured
        Causes of the same name are taken as one cause and add with sign;
        different names are independent. JCGM 100:2008, equations 10 and 16.
    """
    parts: dict[str, float] = {}
    for slope, term in terms:
        for cause, part in term.components:
            parts[cause] = parts.get(cause, 0.0) + slope * part
    return Measured(value, tuple(parts.items()), unit)


def mean_of(values: Sequence[Measured]) -> Measured:
    """Weighted mean of measurements of one thing; shared causes do not average out.

    The weights are inverse squares of each value's own doubts: those causes that
    the others do not carry. Without any such doubt the weights are equal.
    """
    if not values:
        raise ValueError('the mean of no values is not defined')
    shared = set.intersection(*({cause for cause, _ in one.components} for one in values))
    own = [math.hypot(0.0, *(p for c, p in one.components if c not in shared)) for one in values]
    weights = [1 / u**2 for u in own] if all(own) else [1.0] * len(values)
    total = sum(weights)
    value = sum(w * one.value for w, one in zip(weights, values, strict=True)) / total
    return combine(
        value,
        ((w / total, one) for w, one in zip(weights, values, strict=True)),
        values[0].unit,
    )


def format_measured(measured: Measured, k: float = 2.0) -> str:
    """Text such as "70.71 mm ± 0.35 mm (k = 2)".

    U has at most two significant digits and the value stops at the same place,
    JCGM 100:2008, 7.2.6.
    """
    expanded = measured.expanded(k)
    if not math.isfinite(expanded) or not math.isfinite(measured.value):
        raise ValueError(f'only finite values can be printed, got {measured.value} ± {expanded}')
    if expanded == 0:
        return f"{measured.value:g} {measured.unit} (exact)"
    decimals = _decimals(expanded)
    shown_u = round(expanded, decimals)
    places = max(decimals, 0)
    value = round(measured.value, decimals) + 0.0
    return f"{value:.{places}f} {measured.unit} ± {shown_u:.{places}f} {measured.unit} (k = {k:g})"


def _decimals(expanded: float) -> int:
    """Decimal place of the last kept digit of U; U that rounds up to 100 drops one place."""
    place = math.floor(math.log10(expanded))
    decimals = UNCERTAINTY_DIGITS - 1 - place
    if round(expanded, decimals) >= 10.0 ** (place + 1):
        decimals -= 1
    return decimals
