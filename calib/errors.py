"""What can go wrong that the owner can mend.

    ActionableError
      CardNotFound    no card, or too few of its markers to measure with
      CardUnfit       a card is there, but it cannot be measured with
      ViewsUnfit      photos that cannot calibrate a camera
      ProfileUnfit    a camera profile that cannot be read, or is of another camera

Each error keeps its facts in fields; the sentence is made from them.
"""


class ActionableError(Exception):
    """A fault that the owner can mend: what was seen, and what to do now.

    Parameters
    ----------
    problem : str
        Which file, what was seen against what is needed. A full sentence.
    remedy : str
        What to do now. A full sentence.
    """

    def __init__(self, problem: str, remedy: str) -> None:
        super().__init__(problem, remedy)
        self.problem = problem
        self.remedy = remedy

    def __str__(self) -> str:
        return f'{self.problem} {self.remedy}'


class CardNotFound(ActionableError):
    """Too few markers of any known card are visible.

    Parameters
    ----------
    name : str
        Name of the photo.
    n_seen, n_total, n_needed : int
        Markers seen in their places, printed on the card, and needed.
    """

    def __init__(self, name: str, n_seen: int, n_total: int, n_needed: int) -> None:
        seen = (
            "no marker of a calibration card is visible"
            if n_seen == 0
            else f"{n_seen} of the card's {n_total} markers {_is_are(n_seen)} visible"
        )
        super().__init__(
            f"{name}: {seen}, at least {n_needed} are needed.",
            "Take it again with the whole card in the picture and no lamp reflected in its border.",
        )
        self.name = name
        self.n_seen = n_seen
        self.n_total = n_total
        self.n_needed = n_needed


class CardUnfit(ActionableError):
    """A card is in the picture, but no length can be taken from it."""


class ViewsUnfit(ActionableError):
    """The photos given cannot calibrate a camera."""


class ProfileUnfit(ActionableError):
    """A camera profile cannot be read, or does not belong to this photo."""


def _is_are(n: int) -> str:
    return "is" if n == 1 else "are"
