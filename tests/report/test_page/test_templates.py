"""What the templates ask by name is there, is all that is there, and takes what they hand to it."""

import inspect
from collections.abc import Iterator
from importlib.resources import files

import pytest
from jinja2 import Environment, meta, nodes

from lampwright.report.page.templates import FUNCTIONS, KNOWN, page_text

PAGE = files("lampwright.report") / "page"
NAMES = sorted(one.name for one in PAGE.iterdir() if one.name.endswith(".html"))
BY_NAME = {one.__name__: one for one in FUNCTIONS}
HANDED = {"at", "lamps_of", "proved", "caller"}
"""Functions that a template is handed by whoever fills or includes it."""


def parsed(name: str) -> nodes.Template:
    return Environment().parse(page_text(name))


def calls(name: str) -> Iterator[nodes.Call]:
    """Calls of functions by their plain names that the template itself does not set."""
    free = meta.find_undeclared_variables(parsed(name))
    for call in parsed(name).find_all(nodes.Call):
        if isinstance(call.node, nodes.Name) and call.node.name in free:
            yield call


@pytest.mark.parametrize("name", NAMES)
def test_every_call_is_of_a_known_function_and_fits_it(name: str) -> None:
    for call in calls(name):
        assert isinstance(call.node, nodes.Name)
        function = call.node.name
        if function in HANDED:
            continue
        assert function in BY_NAME, f"line {call.lineno}: {function} is not among what a template may ask"
        named = {word.key: None for word in call.kwargs}
        inspect.signature(BY_NAME[function]).bind(*call.args, **named)


def test_no_more_is_known_than_is_asked() -> None:
    asked = set().union(*(meta.find_undeclared_variables(parsed(name)) for name in NAMES))
    assert set(KNOWN) <= asked, f"nobody asks {set(KNOWN) - asked}"


def test_no_two_functions_have_one_name() -> None:
    assert len(BY_NAME) == len(FUNCTIONS), "one hides another"
