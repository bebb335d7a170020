"""What is told of a job while it runs."""

from grader.web.jobs import JobState

_STATE_WORDS = {
    'waiting': "Waiting for the work before it.",
    'done': "Done.",
    'stopped': "Stopped. Nothing was stored.",
}


def job_facts(state: JobState) -> dict[str, str | int | bool]:
    """Plain data of a job, with a sentence."""
    return {
        'state': state.state,
        'is_over': state.is_over,
        'n_steps': state.n_steps,
        'n_done': state.n_done,
        'words': _words(state),
        'remedy': state.remedy,
        'goes_to': state.goes_to or state.back_to,
    }


def _words(state: JobState) -> str:
    if state.state == 'failed':
        return state.problem
    if state.state != 'running':
        return _STATE_WORDS[state.state]
    if not state.n_steps:
        return "Getting ready: the first time this takes some seconds."
    done = f"{state.n_done} of {state.n_steps} steps done."
    if state.now:
        return f"{done} Now: {state.now}."
    return f"{done} Last: {state.step_name}." if state.step_name else done
