"""Small examinations and sealed bags, for tests of the evidence."""

import hashlib
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from grader.evidence.bag_write import write_bag
from grader.evidence.packing import plan_packing
from grader.evidence.seal_key import SealKey
from grader.evidence.seal_text import BagLink
from grader.evidence.time_stamp.trust import Authorities
from grader.evidence.verification import Verification, verify
from grader.evidence.wording import fault_words
from grader.record import PhotoFacts
from tests.support.sample_record import sample_record

WHEN = datetime(2026, 3, 10, 10, 9)


def key(number: int = 1) -> SealKey:
    """The same key for the same number."""
    return SealKey(Ed25519PrivateKey.from_private_bytes(bytes([number]) * 32), is_new=False)


def photo_facts(name: str, data: bytes) -> PhotoFacts:
    return (
        sample_record()
        .photos[0]
        .model_copy(update={'name': name, 'sha256': hashlib.sha256(data).hexdigest(), 'n_bytes': len(data)})
    )


def small_examination(folder: Path, names: Sequence[str] = ('a.jpg', 'b.jpg'), mark: bytes = b'') -> Path:
    """Result folder of an examination, with the photos beside it; no photo is more than a few bytes."""
    folder.mkdir(parents=True)
    facts = []
    for k, name in enumerate(names):
        data = b'photo %d ' % k + mark
        (folder.parent / name).write_bytes(data)
        facts.append(photo_facts(name, data))
    (folder / 'record.json').write_text(sample_record(photos=tuple(facts)).to_json(), encoding='utf-8')
    (folder / 'a.marked.jpg').write_bytes(b'picture ' + mark)
    return folder


def seal_folder(examination: Path, bag: Path, previous: BagLink | None = None, key_number: int = 1) -> BagLink:
    bag.mkdir(parents=True)
    return write_bag(plan_packing(examination), bag, key(key_number), previous, WHEN)


def small_bag(folder: Path) -> Path:
    """A sealed bag of a small examination."""
    seal_folder(small_examination(folder / 'examined' / 'look'), folder / 'bag')
    return folder / 'bag'


def small_chain(folder: Path, length: int = 3) -> list[Path]:
    """Sealed bags of unlike examinations, one after another, in one folder that holds nothing else."""
    link, bags = None, []
    for k in range(length):
        examined = small_examination(folder / f'examined-{k}' / 'look', mark=b'%d' % k)
        # Names that sort against the order of the chain.
        bags.append(folder / 'chain' / f'bag-{length - k}')
        link = seal_folder(examined, bags[-1], link)
    return bags


def check(path: Path, previous: Path | None = None, known_keys: tuple[str, ...] = ()) -> Verification:
    return verify(path, previous, known_keys, Authorities())


def faults_of(path: Path, **options: object) -> list[tuple[str, str]]:
    """Kind and path of each fault."""
    return [(fault.kind, fault.path) for fault in check(path, **options).faults]


def words_of(path: Path, **options: object) -> str:
    return '\n'.join(fault_words(fault) for fault in check(path, **options).faults)


def files_in(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob('*')) if path.is_file()}
