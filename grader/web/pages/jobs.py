"""How a job goes: a page that asks again until it is over."""

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from grader.web.answer import go_to, page
from grader.web.constants import POLL_MS
from grader.web.desk import desk_of
from grader.web.job_words import job_facts


def show(request: Request) -> Response:
    """Page of a job; once it is done, its result."""
    state = desk_of(request).jobs.state(request.path_params['token'])
    if state.state == 'done' and state.goes_to:
        return go_to(state.goes_to)
    return page(request, 'job.html', job=state, facts=job_facts(state), poll_ms=POLL_MS)


def tell(request: Request) -> Response:
    """The same for the page's own program."""
    return JSONResponse(job_facts(desk_of(request).jobs.state(request.path_params['token'])))


def stop(request: Request) -> Response:
    """Stop a job."""
    jobs, token = desk_of(request).jobs, request.path_params['token']
    jobs.stop(token)
    return go_to(jobs.state(token).back_to)


ROUTES = (
    Route('/jobs/{token}.json', tell),
    Route('/jobs/{token}', show),
    Route('/jobs/{token}/stop', stop, methods=['POST']),
)
