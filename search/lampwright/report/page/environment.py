"""How all our templates are filled: every value escaped, no name left undefined, compiled once.

No source: ours.
"""

import re
from collections.abc import Callable, Mapping

from jinja2 import Environment, FileSystemBytecodeCache, FunctionLoader, StrictUndefined
from markupsafe import Markup, escape

from lampwright.caches import cache_folder


def environment(kept_in: str, read: Callable[[str], str], known: Mapping[str, object]) -> Environment:
    """Templates that `read` gives by name, which may ask what is known by name; compiled ones are kept."""
    kept = cache_folder(kept_in)
    made = Environment(
        loader=FunctionLoader(read),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        bytecode_cache=FileSystemBytecodeCache(str(kept)) if kept else None,
    )
    made.globals |= known
    return made


def coded(text: str) -> Markup:
    """Mark what stands between backticks as code, for text alone, not for attributes.

    >>> coded("leave `left` out & on")
    Markup('leave <code>left</code> out &amp; on')
    """
    return Markup(re.sub(r"`([^`]*)`", r"<code>\1</code>", str(escape(text))))
