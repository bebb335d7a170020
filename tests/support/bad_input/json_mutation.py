"""Damage to the contents of JSON files: wrong types, huge sizes, numbers that are none, texts that are none."""

import json
import random
import re
from collections.abc import Callable
from typing import Any

_RAW = re.compile(r'"@raw ([^"]*)@"')
_NUMBERS = (
    0, -1, 1, 2**31, 2**63, -(2**63) - 1, 10**400, 0.5, -0.0, 1e-320, 1e300, -1e300, '@raw 1e999@', '@raw NaN@',
    '@raw -Infinity@', f'@raw {"9" * 5000}@', f'@raw {"9" * 400}@', '@raw 1E400@', '@raw 0.1e-9999999@',
)  # fmt: skip
_TEXTS = (
    '', ' ', '\x00', 'a\x1b[2Jb', '\u202egnp.exe', '\ud800', '\U0001f600' * 50, 'A' * 200_000, '../../etc/passwd',
    '/dev/zero', 'C:\\x', 'NaN', '1', 'true', '2026-02-30T25:61', '%s%n{0}{x}', "'; DROP TABLE pieces; --",
    '[red]x[/red]', 'e\u0301\u0301' * 500, '\n\n\n', 'con', '.', '..',
)  # fmt: skip
_FLOATS = (0.0, -0.0, 1.0, -1.0, 0.5, 1e-300, 1e15, 1e100, 1.7e308, -1.7e308, 360.0, 12.0, 100.0, 5e-324)
_SHOWN_TEXTS = (
    '', ' ', '\x1b[2J', '\x9b31m', '\u202egnp.exe', '\x00', 'A' * 3000, 'very ' * 500, '\n\n- x', '\u2028', '\U0001f600',
    'e\u0301' * 40, '../x', 'a.jpg', '2026-13-45', '9999-12-31T23:59:59+14:00', '{x}', '%d', '[red]',
)  # fmt: skip
_OTHERS = (None, True, False, [], {}, [[]], [None], {'': None}, [0, 0], [1e300, -1e300], {'a': {'a': {}}})


def values(rng: random.Random) -> Any:
    """Any value."""
    return rng.choice(rng.choice((_NUMBERS, _TEXTS, _OTHERS)))


def _of_contents(change: Callable[[random.Random, Any], Any]) -> Callable[[random.Random, bytes], bytes]:
    """A change of what the file says, as one of its bytes; what is no JSON, or too deep to be written, stays."""

    def changed(rng: random.Random, data: bytes) -> bytes:
        try:
            return _text(change(rng, json.loads(data)))
        except (ValueError, RecursionError):
            return data

    return changed


def _parts_replaced(rng: random.Random, fields: Any) -> Any:
    """Some parts are something else."""
    for _ in range(rng.choice((1, 1, 1, 2, 3, 6))):
        places = list(_places(fields))
        if not places:
            return values(rng)
        holder, key = rng.choice(places)
        rng.choice(_CHANGES)(rng, holder, key, places)
    return fields


def _places(fields: Any) -> list[tuple[Any, Any]]:
    """Every part with what holds it, all through the file."""
    found, left = [], [fields]
    while left and len(found) < 20_000:
        holder = left.pop()
        items = holder.items() if isinstance(holder, dict) else enumerate(holder) if isinstance(holder, list) else ()
        for key, value in items:
            found.append((holder, key))
            left.append(value)
    return found


def _values_replaced(rng: random.Random, fields: Any) -> Any:
    """Some values are others of the same type, so that much of the file is still believed."""
    places = list(_places(fields))
    for holder, key in rng.sample(places, min(len(places), rng.choice((1, 2, 4)))):
        if key not in (holder if isinstance(holder, dict) else range(len(holder))):
            continue
        old = holder[key]
        if isinstance(old, bool) or old is None:
            holder[key] = not old
        elif isinstance(old, int | float):
            whole = isinstance(old, int)
            others = (0, -old, old * 1000, old + 1, 10**9, 10**25) if whole else _FLOATS
            holder[key] = rng.choice(others)
        elif isinstance(old, str):
            holder[key] = rng.choice((*_SHOWN_TEXTS, old * 3, old[: len(old) // 2]))
        elif isinstance(old, list):
            holder[key] = rng.choice(([], old * 2, old[:1], old[::-1], old * (1 + 300 // (1 + len(old)))))
        else:
            old.pop(rng.choice(sorted(old)), None) if old else old.update(x=0)
    return fields


def _text(fields: Any) -> bytes:
    text = json.dumps(fields, indent=1, sort_keys=True, ensure_ascii=False) + '\n'
    return _RAW.sub(lambda match: match[1], text).encode('utf-8', errors='surrogatepass')


def _other(rng: random.Random, holder: Any, key: Any, places: Any) -> None:
    holder[key] = values(rng)


def _other_number(rng: random.Random, holder: Any, key: Any, places: Any) -> None:
    old = holder[key]
    if isinstance(old, int | float) and not isinstance(old, bool):
        holder[key] = rng.choice((*_NUMBERS, -old, old * 10, old * 1000, old / 3, str(old), old + 1))
    else:
        holder[key] = values(rng)


def _other_text(rng: random.Random, holder: Any, key: Any, places: Any) -> None:
    old = holder[key]
    if isinstance(old, str):
        holder[key] = rng.choice((*_TEXTS, old * 3, old[: len(old) // 2], old.upper(), f'{old}\x1b]0;x\x07'))
    else:
        holder[key] = values(rng)


def _gone(rng: random.Random, holder: Any, key: Any, places: Any) -> None:
    if isinstance(holder, dict) or key < len(holder):
        del holder[key]


def _new_field(rng: random.Random, holder: Any, key: Any, places: Any) -> None:
    if isinstance(holder, dict):
        holder[str(rng.choice(('x', 'version', '', '__class__', key)))] = values(rng)
    else:
        holder.insert(key, values(rng))


def _from_elsewhere(rng: random.Random, holder: Any, key: Any, places: Any) -> None:
    there, name = rng.choice(places)
    if (isinstance(there, dict) and name not in there) or (isinstance(there, list) and name >= len(there)):
        return
    holder[key] = json.loads(json.dumps(there[name]))


def _many(rng: random.Random, holder: Any, key: Any, places: Any) -> None:
    old = holder[key]
    if isinstance(old, list) and old and len(json.dumps(old)) < 20_000:
        holder[key] = old * rng.choice((2, 10, 200))
    elif isinstance(old, dict) and len(json.dumps(old)) < 2000:
        holder[key] = {**old, **{f'{name}{k}': value for name, value in old.items() for k in range(50)}}
    else:
        holder[key] = [old] * 300


def _deep(rng: random.Random, holder: Any, key: Any, places: Any) -> None:
    n_levels = rng.choice((50, 300, 800, 950, 985, 1000, 3000, 100_000))
    start, end = rng.choice((('[', ']'), ('{"a":', '}'))) if n_levels < 3000 else ('[', ']')
    # Quotes cannot stand in what is put in raw, so objects are nested as far as the writer goes.
    if start == '[':
        holder[key] = f'@raw {start * n_levels}{end * n_levels}@'
    else:
        nested: Any = 0
        for _ in range(min(n_levels, 200)):
            nested = {'a': nested}
        holder[key] = nested


_CHANGES: tuple[Callable[[random.Random, Any, Any, Any], None], ...] = (
    _other, _other, _other_number, _other_number, _other_text, _gone, _new_field, _from_elsewhere, _many, _deep,
)  # fmt: skip


def _twice_named(rng: random.Random, data: bytes) -> bytes:
    """The first field of the file stands in it twice, the second time with another value."""
    value = _RAW.sub(lambda match: match[1], json.dumps(values(rng)))
    at = data.find(b':')
    return data[: max(at, 0)] + b': ' + value.encode() + b',' + data[data.find(b'"') :] if at > 0 else data


def _only_brackets(rng: random.Random, data: bytes) -> bytes:
    n_levels = rng.choice((900, 990, 1000, 100_000, 2_000_000))
    return rng.choice((b'[', b'{"a":')) * n_levels


def _other_encoding(rng: random.Random, data: bytes) -> bytes:
    text = data.decode('utf-8', errors='replace')
    return text.encode(rng.choice(('utf-16', 'utf-32', 'latin-1', 'utf-7', 'utf-8-sig')), errors='replace')


ANY_JSON: dict[str, Callable[[random.Random, bytes], bytes]] = {
    'wrong contents': _of_contents(_parts_replaced),
    'other contents': _of_contents(_values_replaced),
    'a field twice': _twice_named,
    'nothing but brackets': _only_brackets,
    'another encoding': _other_encoding,
}
