"""Specs with selectors, made up by chance, and circuits on their terminals."""

from random import Random

from tests.report.drawing import design_of

from lampwright.app.controls import controls_of
from lampwright.errors import InputError
from lampwright.report.explain.controls import Controls
from lampwright.results.design import Design, PartKind, PartRow
from lampwright.spec.load import parse_spec

HEAD = """\
lampwright = 1
title = "made up"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
always_live = true
[lamps.a]
choose = ["P21W"]
[[behaviour]]
when = {}
show = { a = "any" }
"""


def spec_text(rng: Random) -> tuple[str, list[str]]:
    """Write a spec with one to three selectors, perhaps below a switch or a flasher; and its terminals."""
    text = HEAD
    fed = rng.sample(["49a", "54", "58"], rng.randint(0, 2))
    for name in fed:
        kind = "flasher" if name == "49a" else "switch"
        text += f'[controls.c{name}]\nkind = "{kind}"\nfeed = "{name}"\n'
    terminals = [*fed, *rng.sample(["L", "R", "A", "B", "C", "D"], rng.randint(2, 5))]
    used = {*fed}
    for n in range(rng.randint(1, 2)):
        own = rng.sample(terminals, rng.randint(1, min(4, len(terminals))))
        ends = [*own, "30", *(["31"] if rng.random() < 0.4 else [])]
        pairs = [(a, b) for a in ends for b in ends if a < b and {a, b} != {"30", "31"}]
        hub = rng.choice(ends)
        stars = [pair for pair in pairs if hub in pair]
        offered = stars if stars and rng.random() < 0.6 else pairs
        positions = {}
        for p in range(rng.randint(2, 4)):
            count = rng.choice([0, 1, 1, 1, 2, 2, 3])
            positions[f"p{p}"] = rng.sample(offered, min(count, len(offered)))
        if not any(positions.values()):
            positions["p0"] = offered[:1]
        used |= {end for some in positions.values() for pair in some for end in pair}
        said = ", ".join(f"{name} = {[list(pair) for pair in some]}" for name, some in positions.items())
        text += f'[controls.s{n}]\nkind = "positions"\npositions = {{ {said} }}\n'
    return text, sorted(used - {"30", "31"})


def _controls(rng: Random) -> tuple[Controls, list[str]]:
    """Make up controls until no setting of them shorts the supply."""
    while True:
        text, terminals = spec_text(rng)
        try:
            return controls_of(parse_spec(text, "made up")), terminals
        except InputError:
            continue


def random_selectors(seed: int) -> tuple[Design, Controls]:
    """Make a circuit of random parts on the terminals of random controls."""
    rng = Random(seed)
    controls, terminals = _controls(rng)
    joints = [f"j{n + 1}" for n in range(rng.randint(0, 1))]
    nodes = [*terminals, *joints, "31", *(["30"] if rng.random() < 0.3 else [])]
    kinds: tuple[PartKind, ...] = ("filament", "filament", "filament", "resistor", "diode", "wire")
    parts = []
    for n in range(rng.randint(1, 6)):
        one, two = rng.sample(nodes, 2)
        kind = rng.choice(kinds)
        parts.append(
            PartRow(
                ref=f"{kind[0].upper()}{n}",
                kind=kind,
                from_node=one,
                to_node=two,
                lamp=f"{kind[0].upper()}{n}" if kind == "filament" else None,
                type={"filament": "P21W", "diode": "1N5404"}.get(kind),
                ohms=4.7 if kind == "resistor" else None,
                watts=25.0 if kind == "resistor" else None,
            )
        )
    return design_of(parts), controls
