"""Sound documents and texts bent: odd values, keys lost, doubled and swapped, nested deep; bytes damaged."""

import copy
from typing import Any

from hypothesis import strategies as st

Document = dict[str, Any]
DEEP: Any = [[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]
ODD: tuple[Any, ...] = (
    *(float("nan"), float("inf"), float("-inf"), 1e308, -1e308, 5e-324, 1e-300, -0.0, 0.5),
    *(0, 1, -1, 7, 64, 2**31, 2**63, -(2**63) - 1, 10**400, True, False),
    *(
        "",
        " ",
        "31",
        "30",
        "j1",
        "any",
        "a\nb",
        "\u202edcba",
        "\x00",
        "\x1b[31m",
        "\u2028",
        "x" * 5000,
        "é" * 70,
    ),
    *([], {}, [[]], [""], [1, 2], {"": ""}, DEEP, {"a": {"a": {"a": {"a": DEEP}}}}),
)
"""What stands where something else belongs."""

odd = st.sampled_from(ODD) | st.floats() | st.integers() | st.text(max_size=12)


def places(node: Any) -> list[tuple[Any, Any]]:
    """Every place of a document: what holds it, and its key there."""
    items = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    return [place for key, value in items for place in [(node, key), *places(value)]]


@st.composite
def bent(draw: st.DrawFn, documents: st.SearchStrategy[Document]) -> Document:
    """Bend a document in one to four places."""
    document = copy.deepcopy(draw(documents))
    for _ in range(draw(st.integers(1, 4))):
        where = places(document)
        if not where:
            break
        holder, key = where[draw(st.integers(0, len(where) - 1))]
        match draw(st.sampled_from(("odd", "odd", "lose", "double", "swap", "rename", "scale"))):
            case "lose":
                del holder[key]
            case "double" if isinstance(holder, list):
                holder.extend([copy.deepcopy(holder[key])] * draw(st.sampled_from((1, 2, 40))))
            case "swap":
                other, name = where[draw(st.integers(0, len(where) - 1))]
                holder[key] = copy.deepcopy(other[name])
            case "rename" if isinstance(holder, dict):
                holder[str(draw(odd))[:200]] = holder.pop(key)
            case "scale" if isinstance(holder[key], int | float):
                holder[key] *= draw(st.sampled_from((-1, 0, 2, 10, 1000)))
            case _:
                holder[key] = copy.deepcopy(draw(odd))
    return document


@st.composite
def torn(draw: st.DrawFn, texts: st.SearchStrategy[str]) -> str:
    """Tear a text in one to three places."""
    text = draw(texts)
    for _ in range(draw(st.integers(1, 3))):
        begin = draw(st.integers(0, len(text)))
        end = min(len(text), begin + draw(st.integers(0, 30)))
        put = draw(
            st.sampled_from(('"', "[", "]", "{", "}", "=", "\n", "'", "#", ",", "nan", "-inf", "é", "\u202e"))
        )
        match draw(st.sampled_from(("put", "cut", "double", "swap", "deep"))):
            case "put":
                text = text[:begin] + put + text[begin:]
            case "cut":
                text = text[:begin] + text[end:]
            case "double":
                text = text[:end] + text[begin:]
            case "swap":
                text = text[:begin] + text[begin:end][::-1] + text[end:]
            case _:
                text = text[:begin] + "[" * draw(st.sampled_from((3, 2000))) + text[end:]
    return text


@st.composite
def damaged(draw: st.DrawFn, whole: bytes) -> bytes:
    """Damage some bytes: one changed, some cut out, zeroed or put in, or the end lost."""
    at = draw(st.integers(0, len(whole) - 1))
    end = min(len(whole), at + draw(st.sampled_from((1, 2, 16, 512, 4096))))
    match draw(st.sampled_from(("change", "change", "zero", "cut", "end", "repeat"))):
        case "change":
            return whole[:at] + bytes([whole[at] ^ draw(st.integers(1, 255))]) + whole[at + 1 :]
        case "zero":
            return whole[:at] + bytes(end - at) + whole[end:]
        case "cut":
            return whole[:at] + whole[end:]
        case "end":
            return whole[:at]
        case _:
            return whole[:end] + whole[at:]


TYPES = ("R5W", "R10W", "P21W", "W2.3W", "W3W", "W16W", "W5W", "T4W", "H21W")
extras = st.fixed_dictionaries(
    {},
    optional={
        "resistors": st.fixed_dictionaries(
            {
                "most": st.integers(0, 6),
                "series": st.sampled_from(("E6", "E12", "E24")),
                "ohms": st.tuples(st.sampled_from((0.001, 1)), st.sampled_from((10, 1000, 1e6))).map(list),
            }
        ),
        "diodes": st.fixed_dictionaries({"most": st.integers(0, 4), "choose": st.just(["1N5404", "1N4004"])}),
        "lamps": st.fixed_dictionaries(
            {
                "most": st.integers(1, 4),
                "choose": st.lists(st.sampled_from(TYPES), min_size=1, max_size=4, unique=True),
            }
        ),
    },
)


@st.composite
def loosened(draw: st.DrawFn, documents: st.SearchStrategy[Document]) -> Document:
    """A document that asks for more than was thought of: joints, wires, parts, types, and fewer rows."""
    document = copy.deepcopy(draw(documents))
    document["search"] = {"joints": draw(st.integers(0, 4)), "wires": draw(st.integers(0, 4))}
    document["extras"] = draw(extras)
    for lamp in document["lamps"].values():
        if "filaments" not in lamp:
            more = draw(st.lists(st.sampled_from(TYPES), max_size=6))
            lamp["choose"] = list(dict.fromkeys([*lamp["choose"], *more]))
    rows = document.get("behaviour", [])
    document["behaviour"] = rows[: draw(st.integers(1, max(1, len(rows))))]
    return document
