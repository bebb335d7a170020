"""The page of a study: one file that needs no network."""

from collections.abc import Mapping, Sequence
from html import escape

from grader.report.compare_page import text_of_part
from grader.study.study import AnovaFacts, IntervalFacts, KappaFacts, QuantityStudy, Study
from grader.study.words import count, quantity_words, short, source_words

# No address and no script is allowed, so that nothing is fetched and nothing is sent.
_POLICY = "default-src 'none'; style-src 'unsafe-inline'"
_SCROLL = '<div class="scroll" tabindex="0" role="group" aria-label="Table; scroll it with the arrow keys">'
_STYLE = (
    ".scroll { overflow-x: auto; } svg { max-width: 100%; height: auto; } "
    "caption { text-align: left; font-weight: bold; padding: .6rem 0 .2rem; } "
    "td { font-variant-numeric: tabular-nums; } th[scope=row] { font-weight: normal; }"
)


def study_page(study: Study, plots: Mapping[str, tuple[str, str]]) -> str:
    """Return the page, with its plots, which are named and told in words."""
    title = f"How well photos repeat: {count(len(study.pieces), 'piece')}, {count(len(study.readings), 'photo')}"
    sections = [
        _list("In short", study.summary),
        _list("What this study cannot tell", study.doubts),
        *(_quantity_part(one, plots) for one in study.quantities),
        _plot_part(plots, 'sources-of-spread.svg'),
        *(_kappa_part(one) for one in study.band_agreements),
        _photos_part(study),
        _left_out_part(study),
    ]
    body = '\n'.join(part for part in sections if part)
    examined = ', '.join(study.record_graders)
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{_POLICY}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(title)}</title>
<style>{text_of_part('compare_page.css')}{_STYLE}</style>
</head>
<body>
<header><h1>{escape(title)}</h1></header>
<main>
{body}
</main>
<footer><p>Made by grader {escape(study.grader)}; photos examined by grader {escape(examined)}, grade rules
{escape(study.rules_version)}. This page holds all that it needs, and sends nothing. All numbers are in
study.json.</p></footer>
</body>
</html>
"""


def _list(heading: str, sentences: Sequence[str]) -> str:
    return f"<section><h2>{escape(heading)}</h2>{_items(sentences)}</section>" if sentences else ""


def _items(sentences: Sequence[str]) -> str:
    items = ''.join(f"<li>{escape(words)}</li>" for words in sentences)
    return f"<ul>{items}</ul>" if items else ""


def _quantity_part(one: QuantityStudy, plots: Mapping[str, tuple[str, str]]) -> str:
    own = [name for name in plots if name.startswith(f'{one.name}-')]
    return (
        f"<section><h2>{escape(one.words.capitalize())}</h2>"
        + _items(quantity_words(one))
        + ''.join(_figure(*plots[name]) for name in own)
        + _sources_table(one)
        + _setups_table(one)
        + _icc_table(one)
        + _agreement_table(one)
        + (f"<p>Please note:</p>{_items(one.notes)}" if one.notes else "")
        + "</section>"
    )


def _plot_part(plots: Mapping[str, tuple[str, str]], name: str) -> str:
    return f"<section>{_figure(*plots[name])}</section>" if name in plots else ""


def _figure(words: str, svg: str) -> str:
    return f"<figure>{svg}<figcaption>{escape(words)}</figcaption></figure>"


def _sources_table(one: QuantityStudy) -> str:
    tests: dict[str, AnovaFacts] = {row.source: row for row in one.anova}
    rows = []
    for part in one.components:
        row = tests.get(part.source)
        negative = " (came out below 0)" if part.was_negative else ""
        rows.append(
            (
                source_words(one, part.source).capitalize() + negative,
                f"{short(part.sd)} {one.unit}",
                f"{part.percent_study:.1f} %",
                f"{part.percent_contribution:.1f} %",
                "" if row is None else str(row.degrees_of_freedom),
                "" if row is None or row.f is None else f"{row.f:.2f}",
                "" if row is None or row.p is None else _odds(row.p),
            )
        )
    header = ("Source", "Standard deviation", "Study variation", "Variance", "Degrees of freedom", "F", "p")
    return _table("Analysis of variance", header, rows)


def _setups_table(one: QuantityStudy) -> str:
    if one.n_setups < 2:
        return ""
    rows = [
        (
            part.setup,
            str(part.n_photos),
            f"{part.mean:.2f}",
            "-" if part.sd is None else short(part.sd),
            str(part.degrees_of_freedom),
        )
        for part in one.by_setup
    ]
    header = ("Set-up", "Photos", f"Mean ({one.unit})", "Standard deviation of repeats", "Degrees of freedom")
    return _table("Each set-up by itself", header, rows)


def _icc_table(one: QuantityStudy) -> str:
    rows = [(icc.name, f"{icc.value:.3f}", _bounds(icc)) for icc in one.icc]
    caption = f"Intraclass correlations. {one.icc_basis}"
    return _table(caption, ("Kind", "Value", "95 % interval"), rows) if rows else f"<p>{escape(caption)}</p>"


def _agreement_table(one: QuantityStudy) -> str:
    rows = [
        (
            f"{pair.first} less {pair.second}",
            str(pair.n_pieces),
            *(f"{part.value:+.2f} ({_bounds(part)})" for part in (pair.bias, pair.lower_limit, pair.upper_limit)),
        )
        for pair in one.agreements
    ]
    header = ("Set-ups", "Pieces", f"Bias ({one.unit})", "Lower limit", "Upper limit")
    return _table("Agreement by Bland and Altman, with 95 % intervals", header, rows) if rows else ""


def _kappa_part(one: KappaFacts) -> str:
    used = [k for k in range(len(one.bands)) if sum(one.table[k]) or sum(row[k] for row in one.table)]
    rows = [(one.bands[k], *(str(one.table[k][j]) for j in used)) for k in used]
    kinds = (("unweighted", one.kappa), ("linear weights", one.linear), ("squared weights", one.quadratic))
    told = [f"{words} {part.value:.2f} ({_bounds(part)})" for words, part in kinds if part is not None]
    words = f"Kappa: {'; '.join(told)}." if told else "Kappa cannot be told, since all pieces have the same word."
    heading = f"Words for the condition: {one.first} (rows) and {one.second} (columns)"
    table = _table("Number of pieces", ("", *(one.bands[k] for k in used)), rows)
    return f"<section><h2>{escape(heading)}</h2>{table}<p>{escape(words)}</p></section>"


def _photos_part(study: Study) -> str:
    rows = [
        (
            one.piece,
            one.setup,
            one.photo,
            f"{one.score:.1f}",
            one.band,
            str(one.n_marks),
            "-" if one.width_mm is None else f"{one.width_mm:.2f}",
        )
        for one in study.readings
    ]
    header = ("Piece", "Set-up", "Photo", "Score", "Condition", "Marks", "Largest width (mm)")
    return f"<section><h2>The photos</h2>{_table('Each examined by itself', header, rows)}</section>"


def _left_out_part(study: Study) -> str:
    return _list("Left out", [f"{one.name}: {one.reason}" for one in study.left_out])


def _odds(p: float) -> str:
    return "< 0.001" if p < 0.001 else f"{p:.3f}"


def _bounds(part: IntervalFacts) -> str:
    return f"{part.low:.2f} to {part.high:.2f}"


def _table(caption: str, header: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Table whose first column names the row; cells that are numbers stand flush right."""
    head = ''.join(f"<th scope=\"col\">{escape(cell)}</th>" for cell in header)
    body = ''.join(
        f"<tr><th scope=\"row\">{escape(row[0])}</th>"
        + ''.join(f"<td>{escape(cell)}</td>" for cell in row[1:])
        + "</tr>"
        for row in rows
    )
    return (
        f"{_SCROLL}<table><caption>{escape(caption)}</caption><thead><tr>{head}</tr></thead>"
        f"<tbody>{body}</tbody></table></div>"
    )
