"""The calibration card as a PDF, the same as ``grader card`` writes."""

import functools
import tempfile
from pathlib import Path

from calib.card import load_card
from calib.print_card import write_card_pdf
from grader.commands.card import CardName, PaperName


@functools.cache
def card_pdf(card: CardName, paper: PaperName) -> bytes:
    """Bytes of a card's page; they are always the same."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / 'card.pdf'
        write_card_pdf(load_card(card.value), paper.value, path)
        return path.read_bytes()
