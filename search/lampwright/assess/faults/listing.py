"""Every single fault of a circuit, as what it changes.

Listed are: each filament open (with one filament that is the lamp missing too); each lamp
of two filaments missing; each diode and resistor open, and shorted; the fuse of each
control's feed blown, and of terminal 30; ground lost at each lamp's holder, and at each
zone other than the supply's; each two feeds bridged; each lamp swapped for every other
type that its holder takes, and for an LED substitute, either way round.

A feed bridged to ground is a short, and then the fault of its fuse.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from lampwright.network.circuit import GROUND, SUPPLY
from lampwright.network.netlist import Netlist
from lampwright.parts.catalogue import LampType
from lampwright.problem.problem import Choice, Problem, fitted
from lampwright.results.care import FaultKind
from lampwright.results.design import PartRow
from lampwright.solve.boundary import SOUND, Damage
from lampwright.solve.shelf import shelf_of


@dataclass(frozen=True)
class Fault:
    """One fault. Parts and lamps by index.

    what: in words. opened: parts that no longer conduct. lifted: parts whose ends at
    ground now hang together on a node of their own. lamp: the lamp swapped, or -1; swap:
    for which type. led: 0, or 1 and -1 for an LED substitute with its anodes at the first
    or second end of each filament.
    """

    kind: FaultKind
    what: str
    damage: Damage = SOUND
    opened: tuple[int, ...] = ()
    lifted: tuple[int, ...] = ()
    lamp: int = -1
    swap: LampType | None = None
    led: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True)
class Circuitry:
    """A circuit as the faults see it.

    refs: of its parts. nodes: the names of its vertices. lamps: per lamp its filaments'
    indices. kinds: per lamp the type fitted. diodes: per diode its place among the offered.
    ohms, watts: per resistor.
    """

    netlist: Netlist
    refs: tuple[str, ...]
    nodes: tuple[str, ...]
    lamps: tuple[tuple[int, ...], ...]
    kinds: tuple[LampType, ...]
    diodes: tuple[int, ...]
    ohms: tuple[float, ...]
    watts: tuple[float, ...]

    @property
    def extras(self) -> range:
        """The diodes and resistors."""
        return range(len(self.refs) - self.netlist.extra_parts, len(self.refs))


def circuitry_of(problem: Problem, netlist: Netlist, choice: Choice, drawn: Sequence[PartRow]) -> Circuitry:
    """A fitted circuit, its parts and nodes named as they are drawn."""
    parts = [part for part in drawn if part.kind != "wire"]
    known = dict(zip(problem.layout.terminals, netlist.partition, strict=True))
    names = {vertex: name for name, vertex in reversed(known.items())}
    for part, (tail, head) in zip(parts, netlist.ends.tolist(), strict=True):
        ends = part.from_node, part.to_node
        # a drawn part may name its ends the other way round
        straight = known.get(ends[0], tail) == tail and known.get(ends[1], head) == head
        for vertex, name in zip((tail, head), ends if straight else ends[::-1], strict=True):
            names.setdefault(vertex, name)
    vertices = range(netlist.blocks + netlist.joints)
    shelf = shelf_of(problem.spec)
    offered = zip(problem.part_options.lamp_types, choice.digits, strict=False)
    return Circuitry(
        netlist=netlist,
        refs=tuple(part.ref for part in parts),
        nodes=tuple(names.get(v, f"j{v - netlist.blocks + 1}") for v in vertices),
        lamps=problem.layout.filaments_of,
        kinds=tuple(shelf.lamp(types[digit]) for types, digit in offered),
        diodes=choice.digits[len(problem.layout.lamps) :][: netlist.diodes],
        ohms=fitted(problem, netlist, choice).ohms,
        watts=tuple(part.watts or problem.limits.watts for part in parts if part.kind == "resistor"),
    )


def part_faults(problem: Problem, circuit: Circuitry) -> Iterator[Fault]:
    """Filaments, lamps and extra parts that fail."""
    names = [slot.lamp for slot in problem.layout.lamps]
    for lamp, parts in enumerate(circuit.lamps):
        if len(parts) == 1:
            yield Fault(
                "filament open",
                f"{circuit.refs[parts[0]]} open, or its lamp missing",
                opened=parts,
                lamp=lamp,
            )
            continue
        for part in parts:
            yield Fault("filament open", f"{circuit.refs[part]} open", opened=(part,), lamp=lamp)
        yield Fault("lamp missing", f"lamp {names[lamp]} missing", opened=parts, lamp=lamp)
    for part in circuit.extras:
        yield Fault("part open", f"{circuit.refs[part]} open", opened=(part,))
        a, b = (int(end) for end in circuit.netlist.ends[part])
        yield Fault("part shorted", f"{circuit.refs[part]} shorted", Damage(joins=((a, b),)), opened=(part,))


def feed_faults(problem: Problem, circuit: Circuitry) -> Iterator[Fault]:
    """Fuses that blow, and feeds that touch."""
    for control in problem.spec.controls:
        fed = [end for at in control.positions for pair in at.joins if SUPPLY in pair for end in pair]
        feeds = [name for name in dict.fromkeys(fed) if name != SUPPLY]
        if feeds:
            said = f"fuse of {control.name} ({', '.join(feeds)}) blown"
            yield Fault("fuse blown", said, Damage(dead=control.name))
    if SUPPLY in problem.layout.terminals:
        yield Fault("fuse blown", f"fuse of {SUPPLY} blown", Damage(rail_lost=True))
    placed = zip(problem.layout.terminals, circuit.netlist.partition, strict=True)
    feeds_at = [(name, block) for name, block in placed if name != GROUND]
    for (one, a), (other, b) in combinations(feeds_at, 2):
        if a != b:
            yield Fault("feeds bridged", f"{one} and {other} bridged", Damage(joins=((a, b),)))


def ground_faults(problem: Problem, circuit: Circuitry) -> Iterator[Fault]:
    """Ground lost at a lamp's holder, and at a zone."""
    ground = circuit.netlist.partition[problem.layout.terminals.index(GROUND)]
    ends = circuit.netlist.ends
    names = [slot.lamp for slot in problem.layout.lamps]
    grounded = [tuple(part for part in parts if ground in ends[part]) for parts in circuit.lamps]
    for lamp, parts in enumerate(grounded):
        if parts:
            yield Fault("ground lost at lamp", f"ground lost at {names[lamp]}", lifted=parts, lamp=lamp)
    home = dict(problem.spec.place.zone_of).get("supply", "")
    zones = [problem.zoned.filaments[parts[0]] for parts in circuit.lamps]
    for zone in dict.fromkeys(zones):
        if zone in ("", home):
            continue
        parts = tuple(part for at, own in enumerate(grounded) if zones[at] == zone for part in own)
        if parts:
            yield Fault("ground lost in zone", f"ground lost at the {zone}", lifted=parts)


def led_faults(problem: Problem, circuit: Circuitry) -> Iterator[Fault]:
    """An LED substitute in every holder for which there are such, either way round."""
    for lamp, parts in enumerate(circuit.lamps):
        if not circuit.kinds[lamp].has_led:
            continue
        ends = [(int(a), int(b)) for a, b in circuit.netlist.ends[list(parts)]]
        shared = set(ends[0]).intersection(*ends[1:])
        if len(parts) > 1 and len(shared) == 1:
            # one contact serves both strings, so their plus or their minus meets there
            (hub,) = shared
            ends = [(a, b) if b == hub else (b, a) for a, b in ends]
        for way in (ends, [(b, a) for a, b in ends]):
            at = [circuit.nodes[anode] for anode, _ in way]
            said = f"LED in {problem.layout.lamps[lamp].lamp}, plus at {' and '.join(dict.fromkeys(at))}"
            yield Fault("LED substitute", said, lamp=lamp, led=tuple(way))


def swap_faults(
    problem: Problem, circuit: Circuitry, swaps: tuple[tuple[LampType, ...], ...]
) -> Iterator[Fault]:
    """Every lamp swapped for each of the types its holder takes; swaps: per lamp."""
    for lamp, types in enumerate(swaps):
        for other in types:
            said = f"{other.name} in {problem.layout.lamps[lamp].lamp} for {circuit.kinds[lamp].name}"
            yield Fault("other type", said, lamp=lamp, swap=other)
