"""The templates of the page and of a notebook's cells: every value escaped, no name left undefined.

Rows go in as they are. How a figure is written a template asks `si`, and what is said of a topic
the topic's module.
"""

from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, FunctionLoader, StrictUndefined
from markupsafe import Markup

from lampwright.report import si
from lampwright.report.topics import (
    doubts,
    flashing,
    front,
    front_plot,
    funnel,
    margins,
    parts,
    resistances,
    shortfall,
    stock,
    sweep,
    wiring,
)
from lampwright.words import many, money

KNOWN = {
    "si": si,
    "many": many,
    "money": money,
    "doubts": doubts,
    "resistances": resistances,
    "flashing": flashing,
    "front": front,
    "front_plot": front_plot,
    "funnel": funnel,
    "margins": margins,
    "parts": parts,
    "shortfall": shortfall,
    "stock": stock,
    "sweep": sweep,
    "wiring": wiring,
}
"""What every template may ask, by name."""


def page_text(name: str) -> str:
    """Read a file of the page."""
    return (files("lampwright.report") / "page" / name).read_text(encoding="utf-8")


def rendered(name: str, **values: object) -> Markup:
    """Fill a template."""
    return Markup(_environment().get_template(name).render(values))


def macros(name: str) -> Any:
    """The macros of a template, as functions."""
    return _environment().get_template(name).module


@cache
def _environment() -> Environment:
    made = Environment(
        loader=FunctionLoader(page_text),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals |= KNOWN
    return made
