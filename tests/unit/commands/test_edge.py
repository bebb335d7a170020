"""The edge turns every end of a command into words and a code."""

import cv2
import pytest
import typer

from grader.commands.edge import at_the_edge
from grader.errors import OutlineNotFound
from grader.exit_codes import ExitCode


def run(fault: BaseException | None, *, verbose: bool = False) -> int:
    def command(verbose: bool) -> None:
        if fault is not None:
            raise fault

    try:
        at_the_edge(command)(verbose=verbose)
    except typer.Exit as end:
        return end.exit_code
    return 0


def test_all_well(capsys):
    assert run(None) == ExitCode.DONE
    assert capsys.readouterr() == ('', '')


def test_what_the_owner_can_mend(capsys):
    code = run(OutlineNotFound("a.jpg: no piece is seen.", "Use a plain ground."))
    assert code == ExitCode.OUTLINE
    assert capsys.readouterr() == ('', "a.jpg: no piece is seen. Use a plain ground.\n")


def test_our_bug(capsys):
    assert run(ZeroDivisionError('division by zero')) == ExitCode.OUR_BUG
    out, err = capsys.readouterr()
    assert out == ''
    assert "a fault in grader" in err
    assert "(ZeroDivisionError: division by zero). Please report it" in err
    assert 'Traceback' not in err


def test_traceback_only_when_asked_for(capsys):
    assert run(ZeroDivisionError('division by zero'), verbose=True) == ExitCode.OUR_BUG
    assert 'Traceback (most recent call last)' in capsys.readouterr().err


def test_stopped_by_the_user(capsys):
    assert run(KeyboardInterrupt()) == ExitCode.STOPPED
    assert capsys.readouterr().err == "Stopped. Nothing was left half-written.\n"


@pytest.mark.parametrize('fault', [BrokenPipeError(), typer.Abort()])
def test_ends_that_are_none_of_ours_pass(fault):
    with pytest.raises(type(fault)):
        run(fault)


def short_of_memory_by_opencv() -> cv2.error:
    error = cv2.error()
    error.code = cv2.Error.StsNoMem
    return error


@pytest.mark.parametrize('fault', [MemoryError(), short_of_memory_by_opencv()], ids=['Python', 'OpenCV'])
def test_short_memory_is_no_bug(fault, capsys):
    assert run(fault) == ExitCode.FILE_UNREADABLE
    words = capsys.readouterr().err
    assert words.startswith("This computer has too little free memory")
    assert "use smaller copies" in words


def test_signs_that_write_over_the_screen_are_written_out(capsys):
    run(OutlineNotFound("a\x1b[2J.jpg: no piece is seen.", "Use a plain ground."))
    assert capsys.readouterr().err == "a\\u001b[2J.jpg: no piece is seen. Use a plain ground.\n"
