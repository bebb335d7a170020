"""All routes of the page, with an address for each."""

from collections.abc import Iterator
from dataclasses import dataclass

from starlette.applications import Starlette
from starlette.routing import Mount, Route

_EXAMPLE_OF = {'IntegerConvertor': 1, 'StringConvertor': 'abcd2345', 'PathConvertor': 'a/b', 'FloatConvertor': 1.5}


@dataclass(frozen=True, slots=True)
class KnownRoute:
    """A route and a method."""

    path: str
    """As it is declared, such as ``/pieces/{id}``."""
    method: str
    example: str
    """An address that fits it; what it names does not exist."""

    def __str__(self) -> str:
        return f'{self.method} {self.path}'


def routes_of(app: Starlette) -> Iterator[KnownRoute]:
    """Each route with each of its methods; HEAD goes with GET."""
    for route in app.routes:
        if isinstance(route, Mount):
            assert route.path == '/static', f'{route.path}: only files for everybody are mounted'
            continue
        assert isinstance(route, Route), f'{route}: not a plain route'
        example = route.path
        for name, convertor in route.param_convertors.items():
            value = str(_EXAMPLE_OF.get(type(convertor).__name__, 'x'))
            for form in (f'{{{name}}}', f'{{{name}:int}}', f'{{{name}:str}}', f'{{{name}:path}}'):
                example = example.replace(form, value)
        assert '{' not in example, example
        for method in sorted((route.methods or set()) - {'HEAD'}):
            yield KnownRoute(route.path, method, example)
