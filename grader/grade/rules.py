"""The grade's rules: read from data, checked strictly, never changed once published."""

import math
import tomllib
from importlib.resources import files
from importlib.resources.abc import Traversable
from itertools import pairwise
from typing import Annotated, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from grader.errors import SettingsInvalid
from grader.marks.mark import ZONES

CURRENT_RULES = 'v1'

Ratio = Annotated[float, Field(ge=0.0, le=1.0)]
PositiveRatio = Annotated[float, Field(gt=0.0, le=1.0)]
Points = Annotated[float, Field(ge=0.0, lt=100.0)]
Power = Annotated[float, Field(ge=0.0, le=4.0)]


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra='forbid', allow_inf_nan=False, strict=True)


class Band(_Strict):
    """One of the words for a piece's condition."""

    name: str = Field(min_length=1)
    """The word."""
    from_score: Annotated[float, Field(ge=0.0, lt=100.0)]
    """Lowest score of the band, 0 to 100."""
    meaning: str = Field(min_length=1)
    """What an owner may understand by it."""


class SpotCost(_Strict):
    """Cost of a mark that is told by its diameter."""

    reference_ratio: PositiveRatio
    """Diameter, as a share of the piece's largest width, at which the mark costs `cost_points`."""
    cost_points: Points
    """Cost of that mark when it is the only one, in the middle of the crown."""
    size_power: Power
    """Power with which the loss follows the diameter."""


class LineCost(_Strict):
    """Cost of a mark that is told by its length and width."""

    reference_length_ratio: PositiveRatio
    """Length, as a share of the piece's largest width, at which the mark costs `cost_points`."""
    reference_width_ratio: PositiveRatio
    """Width of that mark, as a share of the piece's largest width."""
    cost_points: Points
    """Cost of that mark when it is the only one, in the middle of the crown."""
    length_power: Power
    """Power with which the loss follows the length."""
    width_power: Power
    """Power with which the loss follows the width."""
    width_ratio_range: Annotated[list[PositiveRatio], Field(min_length=2, max_length=2)]
    """Widths outside this range count as its ends."""


class KindCosts(_Strict):
    """Cost of each kind of mark."""

    scratch: LineCost
    chip: SpotCost
    bubble: SpotCost
    bruise: SpotCost
    dust: SpotCost


class PlaceWeights(_Strict):
    """How much a place on the piece adds to or takes from a mark's loss."""

    weights_by_radius: Annotated[list[Annotated[list[Ratio], Field(min_length=2, max_length=2)]], Field(min_length=2)]
    """Points (place between middle 0 and rim 1, weight), the weight falling or level."""
    weights_by_zone: dict[str, Ratio]
    """Weight by zone, where the place is known no better."""
    weight_unknown: Ratio
    """Weight where the zone is not known either."""

    @model_validator(mode='after')
    def _check(self) -> Self:
        if any(a[0] >= b[0] or a[1] < b[1] for a, b in pairwise(self.weights_by_radius)):
            raise ValueError('weights_by_radius must go outwards and not rise')
        if set(self.weights_by_zone) != set(ZONES):
            raise ValueError(f'weights_by_zone must name {", ".join(ZONES)}')
        return self


class DoubtRules(_Strict):
    """What uncertainty does to a score and its interval."""

    least_confidence: Annotated[float, Field(ge=0.0, lt=1.0)]
    """Marks of this confidence or less count nothing."""
    u_size_ratio_without_card: Ratio
    """Standard uncertainty of a size as a share of itself, without millimetres."""
    tail_ratio: Annotated[float, Field(gt=0.0, lt=0.5)]
    """Share of the outcomes in each tail whose mean is an end of the interval."""
    risk_limit: Annotated[float, Field(gt=0.0, lt=0.5)]
    """Odds of lying beyond a limit from which a grade is borderline."""
    hidden_cost_points: Points
    """Mean cost of what a wholly unseen piece might hide."""
    least_unseen_ratio: Ratio
    """Share of the glass that is never seen well enough."""
    most_unseen_for_clean_ratio: PositiveRatio
    """Unseen share from which on no piece gets the best band."""
    unseen_by_flag: dict[str, Ratio]
    """Further unseen shares by name of flag."""


class GradeRules(_Strict):
    """All that turns facts into a grade."""

    version: str
    bands: Annotated[list[Band], Field(min_length=2)]
    """Best first, the last from score 0."""
    kinds: KindCosts
    place: PlaceWeights
    doubt: DoubtRules

    @model_validator(mode='after')
    def _check(self) -> Self:
        limits = [band.from_score for band in self.bands]
        if any(a <= b for a, b in pairwise(limits)) or limits[-1] != 0.0:
            raise ValueError('bands must go from best to worst and end at 0')
        if len({band.name for band in self.bands}) != len(self.bands):
            raise ValueError('bands must have different names')
        return self

    def band_index(self, score: float) -> int:
        """Return the index of the band that a score 0 to 100 belongs to."""
        if not math.isfinite(score):
            raise ValueError(f'score must be finite, got {score}')
        return next(i for i, band in enumerate(self.bands) if max(score, 0.0) >= band.from_score)


def load_rules(version: str = CURRENT_RULES) -> GradeRules:
    """Read the rules of a version that ships with the program.

    Raises
    ------
    SettingsInvalid
        If there is no such version.
    """
    known = {path.name[len('rules_') : -len('.toml')]: path for path in _rule_files()}
    if version not in known:
        raise SettingsInvalid(
            f"There are no grade rules of version {version!r}.",
            f"Choose one of: {', '.join(sorted(known))}.",
        )
    return parse_rules(known[version].read_text(encoding='utf-8'), known[version].name)


def parse_rules(text: str, name: str) -> GradeRules:
    """Check the text of a rules file.

    Raises
    ------
    SettingsInvalid
        Telling all faults of the file at once.
    """
    try:
        return GradeRules.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as err:
        raise SettingsInvalid(f"{name} is not valid TOML: {err}.", "Mend that line of the file.") from err
    except ValidationError as err:
        faults = "; ".join(f"{'.'.join(str(part) for part in e['loc']) or 'file'}: {e['msg']}" for e in err.errors())
        raise SettingsInvalid(f"{name} does not hold valid grade rules: {faults}.", "Mend these entries.") from err


def _rule_files() -> list[Traversable]:
    folder = files('grader.grade')
    return [path for path in folder.iterdir() if path.name.startswith('rules_') and path.name.endswith('.toml')]
