"""The calibration card to print."""

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from grader.commands.card import CardName, PaperName
from grader.web.answer import page
from grader.web.card_pdf import card_pdf


def show(request: Request) -> Response:
    """Which card, on which paper."""
    return page(request, 'card.html')


def pdf(request: Request) -> Response:
    """The page to print."""
    card, paper = request.path_params['card'], request.path_params['paper']
    if card not in list(CardName) or paper not in list(PaperName):
        raise HTTPException(404)
    name = f'calibration-card-{card}-{paper}.pdf'
    return Response(
        card_pdf(CardName(card), PaperName(paper)),
        media_type='application/pdf',
        headers={'Content-Disposition': f'inline; filename="{name}"'},
    )


ROUTES = (Route('/card', show), Route('/card/{card}-{paper}.pdf', pdf))
