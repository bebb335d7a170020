"""A document as one HTML page that needs nothing else: pictures and style are in it, and no script."""

import base64
from collections.abc import Sequence
from html import escape
from importlib.resources import files

from grader.documents.blocks import (
    Block,
    Card,
    Cards,
    Cell,
    Document,
    Facts,
    Figure,
    Heading,
    Lead,
    NewPage,
    Picture,
    Points,
    SignLines,
    Table,
    Words,
)
from grader.documents.identity import document_number


def html_of(document: Document) -> str:
    """Return a document as an HTML page."""
    style = files('grader.documents').joinpath('page.css').read_text(encoding='utf-8')
    title = escape(f"{document.kind}: {document.title}")
    subtitle = f"<p class=\"subtitle\">{escape(document.subtitle)}</p>" if document.subtitle else ""
    source = document.source
    kind = escape(f"{document.kind} · {document.made_at}" if document.made_at else document.kind)
    body = ''.join(_part(block) for block in document.blocks)
    return f"""<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title><style>
{style}</style></head><body>
<header><p class="kind">{kind}</p><h1>{escape(document.title)}</h1>{subtitle}</header>
<main>{body}</main>
<footer><p>{document_number(document)} · {escape(source.name)} SHA-256 <code>{source.sha256}</code></p></footer>
</body></html>
"""


def _part(block: Block) -> str:
    match block:
        case Heading():
            return f"<h{block.level + 1}>{escape(block.words)}</h{block.level + 1}>"
        case Words():
            return f"<p class=\"{block.tone}\">{_lines(block.words)}</p>"
        case Points():
            items = ''.join(f"<li>{_lines(words)}</li>" for words in block.sentences)
            return f"<ul class=\"{block.sign}\">{items}</ul>"
        case Facts():
            return _facts(block)
        case Lead():
            headline = f"<p class=\"headline\">{escape(block.headline)}</p>"
            return f"<div class=\"top\">{_image(block.picture)}<div>{headline}{_facts(block.facts)}</div></div>"
        case Table():
            return _table(block)
        case Figure():
            return f"<figure>{_image(block.picture)}<figcaption>{escape(block.caption)}</figcaption></figure>"
        case Cards():
            cards = ''.join(_card(card) for card in block.cards)
            return f"<div class=\"cards of{block.n_columns}\">{cards}</div>"
        case SignLines():
            labels = ''.join(f"<p>{escape(label)}</p>" for label in block.labels)
            return f"<div class=\"sign\">{labels}</div>"
        case NewPage():
            return '<div class="page"></div>'


def _facts(block: Facts) -> str:
    rows = ''.join(f"<dt>{escape(label)}</dt><dd>{_lines(words)}</dd>" for label, words in block.rows)
    return f"<dl>{rows}</dl>"


def _table(block: Table) -> str:
    kinds = ['number' if column.is_number else 'word' for column in block.columns]
    heads = ''.join(
        f"<th scope=\"col\" class=\"{kind}\">{escape(column.heading)}</th>"
        for column, kind in zip(block.columns, kinds, strict=True)
    )
    first_sum = len(block.rows) - block.n_sum_rows
    body = ''.join(
        f"<tr class=\"{'sum' if k >= first_sum else 'row'}\">{_cells(row, kinds)}</tr>"
        for k, row in enumerate(block.rows)
    )
    return f"<div class=\"wide\"><table><thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table></div>"


def _cells(row: Sequence[Cell], kinds: Sequence[str]) -> str:
    return ''.join(
        f"<td class=\"{kind}\">{_image(cell) if isinstance(cell, Picture) else _lines(cell)}</td>"
        for cell, kind in zip(row, kinds, strict=True)
    )


def _card(card: Card) -> str:
    pictures = ''.join(_image(picture) for picture in card.pictures)
    lines = ''.join(f"<p class=\"note\">{_lines(line)}</p>" for line in card.lines)
    return f"<article><div class=\"pictures\">{pictures}</div><h4>{escape(card.title)}</h4>{lines}</article>"


def _image(picture: Picture) -> str:
    data = base64.b64encode(picture.jpeg).decode('ascii')
    size = f"width=\"{picture.width_px}\" height=\"{picture.height_px}\""
    return f"<img src=\"data:image/jpeg;base64,{data}\" {size} alt=\"{escape(picture.words)}\">"


def _lines(words: str) -> str:
    return escape(words).replace('\n', '<br>')
