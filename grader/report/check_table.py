"""What ``grader check`` prints of a photo and of a set."""

from collections.abc import Sequence
from textwrap import wrap

from grader.quality_facts import QualityFacts

_WIDTH = 96
_LABEL_WIDTH = 16


def quality_table(photo: str, quality: QualityFacts) -> str:
    """Short table of one photo's quality, with advice and doubts, and the verdict in its last line."""
    lines = [photo, '-' * min(len(photo), _WIDTH)]
    lines += _row("What it is", quality.view_words)
    for label, words in detail_rows(quality):
        lines += _row(label, words)
    lines += _row("Shows", quality.smallest_words)
    lines += _bullets("What to know, and how to take it again", quality.advice)
    lines += _bullets("Not judged", quality.doubts)
    return '\n'.join([*lines, f"{photo}: {quality.verdict}"])


def detail_rows(quality: QualityFacts) -> tuple[tuple[str, str], ...]:
    """Label and words of each thing that was measured."""
    return (
        ("Sharpness", _focus_words(quality)),
        ("Light", _light_words(quality)),
        ("Scale", _scale_words(quality)),
    )


def faulty_table(photo: str, problem: str, remedy: str) -> str:
    """The same for a photo that could not be examined at all."""
    lines = [photo, '-' * min(len(photo), _WIDTH), *wrap(f"{problem} {remedy}", _WIDTH)]
    return '\n'.join([*lines, f"{photo}: take it again"])


def views_table(views: Sequence[tuple[str, str, str]]) -> str:
    """Views that a set should hold: name, whether it is there, and what to do."""
    lines = ["Views of the piece"]
    for name, there, advice in views:
        mark = {'yes': "there", 'no': "missing", 'not told': "not told"}[there]
        lines += wrap(f"{mark}: {name}. {advice}".rstrip(), _WIDTH, initial_indent="- ", subsequent_indent="  ")
    return '\n'.join(lines)


def _focus_words(quality: QualityFacts) -> str:
    if quality.blur_px is None:
        return "could not be told"
    mm = '' if quality.blur_mm is None else f" ({quality.blur_mm:.2f} mm)"
    source = "of the card" if quality.blur_source == 'card' else "of the glass, the sharpest"
    return f"edges {source} spread over {quality.blur_px:.1f} px{mm}; {quality.n_edges} edges read"


def _light_words(quality: QualityFacts) -> str:
    paper = '' if quality.paper_light is None else f"white paper at {100 * quality.paper_light:.0f} % of white; "
    if quality.paper_light is not None and quality.paper_light > 1:
        paper = "white paper over-exposed; "
    parts = [
        f"{paper}of the piece {_percent(quality.clipped_ratio)} pure white",
        f"{_percent(quality.dark_ratio)} nearly black",
    ]
    if quality.glare_ratio is not None:
        parts.append(f"{_percent(quality.glare_ratio)} under mirrored lamps")
    if quality.noise_ratio is not None:
        parts.append(f"grain {100 * quality.noise_ratio:.1f} % of white")
    return ', '.join(parts)


def _scale_words(quality: QualityFacts) -> str:
    rim = f"{_percent(quality.rim_ratio)} of the rim in the picture"
    if quality.px_per_mm is None or quality.tilt_deg is None:
        return f"not told without a card; {rim}"
    return f"{quality.px_per_mm:.1f} px a millimetre; camera {quality.tilt_deg:.0f} degrees from straight above; {rim}"


def _percent(ratio: float) -> str:
    percent = round(100 * ratio)
    return "less than 1 %" if percent == 0 and ratio > 0 else f"{percent} %"


def _row(label: str, words: str) -> list[str]:
    return wrap(words, _WIDTH, initial_indent=label.ljust(_LABEL_WIDTH), subsequent_indent=' ' * _LABEL_WIDTH)


def _bullets(heading: str, sentences: Sequence[str]) -> list[str]:
    lines = [f"{heading}:"] if sentences else []
    for sentence in sentences:
        lines += wrap(sentence, _WIDTH, initial_indent="- ", subsequent_indent="  ")
    return lines
