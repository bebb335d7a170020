"""Progress is drawn for a person only, and leaves a clean line."""

import io

from grader.progress import ProgressBar, SilentProgress, progress_for


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_silent_where_nobody_looks_on():
    assert isinstance(progress_for(io.StringIO()), SilentProgress)
    assert isinstance(progress_for(Terminal()), ProgressBar)


def test_bar_counts_and_cleans_up():
    stream = Terminal()
    bar = ProgressBar(stream, width=60)
    bar.start(3)
    bar.step('a.jpg')
    bar.step('b.jpg')
    lines = stream.getvalue().split('\r')
    assert lines[-1].rstrip() == '[' + '#' * 20 + '.' * 10 + ']' + ' 2 of 3  b.jpg'
    bar.finish()
    assert stream.getvalue().endswith('\r' + ' ' * 60 + '\r')


def test_long_names_do_not_break_the_line():
    stream = Terminal()
    bar = ProgressBar(stream, width=50)
    bar.start(1)
    bar.step('x' * 200)
    assert max(len(line) for line in stream.getvalue().split('\r')) == 50


def test_silence():
    silent = SilentProgress()
    silent.start(2)
    silent.step('a.jpg')
    silent.finish()
