"""What leaves the collection as a file: the insurer's schedule, and a table of all pieces."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from calib.constants import PAPER_SIZES_MM
from grader.collection.csv_form import to_csv
from grader.collection.index import SORT_ORDERS, index_for_reading
from grader.commands.collection.files import all_pieces
from grader.web.answer import go_to, page
from grader.web.desk import PURPOSE, desk_of
from grader.web.schedule_work import ready_schedule, schedule_form, schedule_pdf, work_on_schedule
from grader.web.shelf import ORDERS


def ask(request: Request) -> Response:
    """What is wanted of a schedule."""
    orders = {name: ORDERS[name] for name in SORT_ORDERS}
    with index_for_reading(desk_of(request).place, PURPOSE) as index:
        n_pieces, faults = index.n_pieces(), index.faults()
    return page(request, 'schedule.html', orders=orders, papers=tuple(PAPER_SIZES_MM), n_pieces=n_pieces, faults=faults)


async def make(request: Request) -> Response:
    """Have it made."""
    desk, form = desk_of(request), await request.form()
    wanted = schedule_form(
        str(form.get('owner', '')),
        form.get('places') == 'yes',
        str(form.get('sort', '')),
        str(form.get('paper', '')),
        desk.now().isoformat(timespec='minutes') if form.get('dated') == 'yes' else '',
    )
    token, _ = desk.jobs.submit(
        'long', "Schedule for the insurer", '/schedule', work_on_schedule, str(desk.root), wanted
    )
    return go_to(f'/jobs/{token}')


def ready(request: Request) -> Response:
    """It is made."""
    found = ready_schedule(desk_of(request).place, request.path_params['token'])
    return page(request, 'schedule_ready.html', schedule=found)


def fetch(request: Request) -> Response:
    """Its PDF."""
    data = schedule_pdf(desk_of(request).place, request.path_params['token'])
    return _file(data, 'application/pdf', 'schedule.pdf')


def table(request: Request) -> Response:
    """All pieces as a table, with the mark by which spreadsheets recognise accents."""
    place = desk_of(request).place
    with index_for_reading(place, PURPOSE) as index:
        pieces = [one.piece for one in all_pieces(place, index)]
    return _file(to_csv(pieces).encode('utf-8-sig'), 'text/csv; charset=utf-8', 'pieces.csv')


def _file(data: bytes, kind: str, name: str) -> Response:
    return Response(data, media_type=kind, headers={'content-disposition': f'attachment; filename="{name}"'})


ROUTES = (
    Route('/schedule', ask, methods=['GET']),
    Route('/schedule', make, methods=['POST']),
    Route('/schedule/{token}.pdf', fetch),
    Route('/schedule/{token}', ready),
    Route('/pieces.csv', table),
)
