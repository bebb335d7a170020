"""What all parts of a record share: strictness, and the digits to which numbers are kept."""

from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict


def rounded(n_digits: int) -> AfterValidator:
    """Validator that rounds to so many decimals, so that the same photo gives the same text."""
    # Adding zero turns -0.0 into 0.0.
    return AfterValidator(lambda value: round(value, n_digits) + 0.0)


Px = Annotated[float, rounded(2)]
Mm = Annotated[float, rounded(3)]
UncertaintyMm = Annotated[float, rounded(4)]
Ratio = Annotated[float, rounded(4)]
Points = Annotated[float, rounded(1)]
PointPx = tuple[Px, Px]


class RecordPart(BaseModel):
    """Frozen, and strict about fields it does not know: records come from outside too."""

    model_config = ConfigDict(frozen=True, extra='forbid', allow_inf_nan=False)
