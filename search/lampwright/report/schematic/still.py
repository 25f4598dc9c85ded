"""Drawings that do not move, for a page that has many: symbols drawn once, and nothing that only shows later.

What every line and word has in common is said once, in `STYLE`. What is hidden until something runs or
fails is left out, and so is what only a script asks for; what is seen and what is read aloud stays.

Source: SVG 2 for `use`. The layout is ours.
"""

import re
import xml.etree.ElementTree as ET

from lampwright.report.schematic import symbols

SVG = "{http://www.w3.org/2000/svg}"
STYLE = """
:where(.still) { fill: none; stroke: currentColor; stroke-width: 1.6; stroke-linecap: round; }
:where(.still) { font: 13px "Liberation Sans", Arial, Helvetica, sans-serif; }
:where(.still) text { fill: currentColor; stroke: none; } :where(.still) [fill=currentColor] { stroke: none; }
:where(.still) :is(.name, .terminal) { font-weight: bold; }
.shared { position: absolute; width: 0; height: 0; }
"""
COMMON = {"fill": "none", "stroke": "currentColor", "stroke-width": "1.6"}
KEPT = ("viewBox", "width", "height", "role", "aria-label")
WORDS = ("name", "terminal", "note", "sign")
STEP = re.compile(r"([MLHVAZhvlm])([^MLHVAZhvlm]*)")


class Stills:
    """The drawings of one page, and the symbols that they share."""

    def __init__(self) -> None:
        """Begin with no symbol."""
        self.shared: dict[str, str] = {}

    def still(self, svg: str) -> str:
        """Write a drawing, made without ids, without what moves, for a page with `STYLE` and `symbols`."""
        root = ET.fromstring(svg)
        self._quiet(root)
        root.attrib = {"class": "still", **{name: root.attrib[name] for name in KEPT if name in root.attrib}}
        return _written(root)

    def symbols(self) -> str:
        """Write the symbols of all drawings so far, to stand once on the page."""
        drawn = "".join(f'<g id="{name}">{said}</g>' for said, name in self.shared.items())
        return f'<svg class="still shared" aria-hidden="true"><defs>{drawn}</defs></svg>'

    def _quiet(self, parent: ET.Element) -> None:
        """Take out of an element what is not seen, and share its symbols."""
        for child in list(parent):
            hidden = child.get("display") == "none" or child.get("opacity") == "0"
            empty = child.tag == f"{SVG}text" and not child.text
            if hidden or empty or child.tag == f"{SVG}style":
                parent.remove(child)
                continue
            is_symbol = child.get("class") == "symbol"
            self._quiet(child)
            if is_symbol:
                self._share(child)
            else:
                _bare(child)
        _join_lines(parent)

    def _share(self, group: ET.Element) -> None:
        """Put a symbol in the place of itself where it is drawn for the first time."""
        first = group[0]
        x, y = (float(first.get(name, "nan")) for name in ("cx", "cy"))
        if first.tag == f"{SVG}path":
            x, y = map(float, first.get("d", "").split()[1:3])
        for child in group:
            _move(child, -x, -y)
            if child.get("fill") == "currentColor":
                # rules that name what stands around them do not reach into symbols
                child.set("stroke", "none")
        said = "".join(_written(child) for child in group)
        name = self.shared.setdefault(said, f"s{len(self.shared)}")
        group.clear()
        group.tag = f"{SVG}use"
        group.attrib = {"href": f"#{name}", "x": symbols.number(x), "y": symbols.number(y)}


def _join_lines(parent: ET.Element) -> None:
    """Take groups that are no more than their children apart, and make lines that follow each other one."""
    parent.text = parent.text if parent.tag != f"{SVG}g" else None
    children: list[ET.Element] = []
    for child in parent:
        is_bare = child.tag == f"{SVG}g" and not child.attrib and child.find(f"{SVG}title") is None
        for one in list(child) if is_bare else [child]:
            one.tail = None
            last = children[-1] if children else one
            if one is not last and [*one.attrib] == [*last.attrib] == ["d"]:
                last.set("d", f"{last.get('d')} {one.get('d')}")
            else:
                children.append(one)
    parent[:] = children


def _bare(element: ET.Element) -> None:
    """Leave out of an element what all have in common, and what a script looks for."""
    attributes = element.attrib
    words = element.tag == f"{SVG}text"
    for name in list(attributes):
        said = attributes[name]
        is_word = words and (name in ("fill", "font-weight") or (name == "class" and said not in WORDS))
        is_script = name.startswith("data-") or (name == "class" and not words)
        if is_word or is_script or COMMON.get(name) == said:
            del attributes[name]


def _move(element: ET.Element, dx: float, dy: float) -> None:
    """Move a path or a circle."""
    for name, by in (("cx", dx), ("cy", dy)):
        if name in element.attrib:
            element.set(name, symbols.number(float(element.get(name, "nan")) + by))
    steps = []
    for letter, rest in STEP.findall(element.get("d", "")):
        numbers = [float(word) for word in rest.split()]
        if letter in "MLA":
            numbers[-2:] = [numbers[-2] + dx, numbers[-1] + dy]
        elif letter in "HV":
            numbers[0] += dx if letter == "H" else dy
        steps += [letter, *map(symbols.number, numbers)]
    if steps:
        element.set("d", " ".join(steps))


def _written(element: ET.Element) -> str:
    """Write an element as HTML has it, without its name space."""
    return (
        ET.tostring(element, encoding="unicode")
        .replace(' xmlns:ns0="http://www.w3.org/2000/svg"', "")
        .replace("ns0:", "")
    )
