"""Whatever numbers a record holds: record to JSON to record gives the same record and the same bytes."""

from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from grader.record import MarkFacts, read_record
from tests.support.sample_record import SCRATCH, sample_record

numbers = st.floats(-1e6, 1e6)
shares = st.floats(0, 1)


@st.composite
def marks(draw) -> MarkFacts:
    points = draw(st.lists(st.tuples(numbers, numbers), max_size=6))
    return MarkFacts(
        **{
            **SCRATCH.model_dump(),
            'outline_px': points,
            'confidence': draw(shares),
            'length_mm': draw(st.none() | numbers),
            'place_words': draw(st.text(max_size=20)),
            'zone': draw(st.sampled_from(['', 'crown', 'shoulder', 'rim'])),
        }
    )


@settings(max_examples=60, deadline=None, derandomize=True)
@given(marks=st.lists(marks(), max_size=3), photo=st.text(st.characters(codec='utf-8'), max_size=20))
def test_json_and_back(marks, photo):
    record = sample_record(marks=tuple(marks), photo=photo)
    with TemporaryDirectory() as folder:
        path = Path(folder) / 'record.json'
        path.write_bytes(record.to_json().encode('utf-8'))
        again = read_record(path)
    assert again == record
    assert again.to_json() == record.to_json()
