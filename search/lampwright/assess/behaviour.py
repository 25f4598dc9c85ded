"""What a design's lamps do that codes speak of, from its table of states and never from a lamp's name.

What codes say of it are facts to look up, never a verdict: they stand in `regulations.csv`, each with its
trigger, one of the acts below, or `any` for those that hold whatever act it is. Only what the design
does brings a fact up, so that the right one shows; for which vehicles it holds it says itself.

The closed set of acts, each worked out here and nowhere else:

    dims                 gives reduced light in some state
    flashes              alight in one phase of a flasher and out in another
    counterflashes       out while the flasher's contact is closed, alight while it is open
    flash varies         flashes with all else off, and otherwise with some other control on
    burns with brake     comes on, steadily, as the brake's control is put on and nothing else moves
    brake varies         does so in one setting, but goes out or flashes in another with the brake on
    steady beside flash  alight in every phase while another lamp flashes
    position varies      as `brake varies`, of the control of the position lamps

A control is the brake's, or that of the position lamps, if a contact of it leads to terminal 54, or to
58, 58L or 58R, as DIN 72552 numbers them, or failing that by its own name.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import cast, get_args

from lampwright.parts.tables import DataRow, read_table
from lampwright.results.care import Act, Regulated, RegulationNote, Subject
from lampwright.results.design import OUT, StateRow
from lampwright.spec.model import ON, Control
from lampwright.spec.states import Setting, moments

ACTS: tuple[Act, ...] = get_args(Act)
DIMMED = ("dim", "between")
BRAKE = frozenset({"54", "brake", "brakes", "stop"})
POSITION = frozenset({"58", "58L", "58R", "lights", "position", "tail"})


ALWAYS = "any"


@dataclass(frozen=True)
class Occasion:
    """One state: its name in words, its setting, the flashers that are on and their phases, the levels."""

    name: str
    setting: Setting
    phases: tuple[tuple[str, str], ...]
    levels: tuple[str, ...]

    def alight(self, at: int) -> bool:
        """Whether a filament gives light that counts."""
        return self.levels[at] not in OUT

    def all_in(self, phase: str) -> bool:
        """Whether a flasher is on and every one that is stands in this phase."""
        return bool(self.phases) and all(said == phase for _, said in self.phases)


Scene = tuple[Occasion, ...]
"""All phases of one setting."""


def occasions(states: Sequence[StateRow], controls: tuple[Control, ...]) -> tuple[Occasion, ...]:
    """A design's states with their settings; both come in the order of the spec."""
    return tuple(
        Occasion(state.full_name, moment.setting, moment.phases, tuple(lamp.level for lamp in state.lamps))
        for state, moment in zip(states, moments(controls), strict=True)
    )


def acts_of(
    lamps: Sequence[str], found: Sequence[Occasion], controls: tuple[Control, ...]
) -> tuple[Regulated, ...]:
    """Every act of every filament, act by act in the order of the set, with the states it is seen in."""
    scenes = _scenes(found)
    seen = {
        act: [(at, _when(act, at, len(lamps), scenes, controls)) for at in range(len(lamps))] for act in ACTS
    }
    return tuple(
        Regulated(lamp=lamps[at], does=act, states=tuple(one.name for one in when))
        for act, row in seen.items()
        for at, when in row
        if when
    )


def _when(
    act: Act, at: int, count: int, scenes: Sequence[Scene], controls: tuple[Control, ...]
) -> list[Occasion]:
    """The states in which one filament is seen at one act; none where it is not its act."""
    if act == "dims":
        return [one for scene in scenes for one in scene if one.levels[at] in DIMMED]
    if act == "flashes":
        return [one for scene in scenes if _flashes(scene, at) for one in scene]
    if act == "counterflashes":
        return [one for scene in scenes if _against(scene, at) for one in scene]
    if act == "flash varies":
        return _flash_varies(at, scenes, controls)
    if act == "steady beside flash":
        return [one for scene in scenes if _beside(scene, at, count) for one in scene]
    words = POSITION if act == "position varies" else BRAKE
    return [
        one
        for control in controls
        if _leads_to(control, words)
        for one in (_burns if act == "burns with brake" else _varies)(at, scenes, control)
    ]


def _scenes(found: Sequence[Occasion]) -> tuple[Scene, ...]:
    settings = dict.fromkeys(one.setting for one in found)
    return tuple(tuple(one for one in found if one.setting == setting) for setting in settings)


def _flashes(scene: Scene, at: int) -> bool:
    return len({one.alight(at) for one in scene}) > 1


def _steady(scene: Scene, at: int) -> bool:
    return all(one.alight(at) for one in scene)


def _dark(scene: Scene, at: int) -> bool:
    return not any(one.alight(at) for one in scene)


def _against(scene: Scene, at: int) -> bool:
    closed = [one.alight(at) for one in scene if one.all_in("closed")]
    opened = [one.alight(at) for one in scene if one.all_in("open")]
    return opened == [True] and closed == [False]


def _beside(scene: Scene, at: int, count: int) -> bool:
    others = (other for other in range(count) if other != at)
    return _steady(scene, at) and any(_flashes(scene, other) for other in others)


def _flash_varies(at: int, scenes: Sequence[Scene], controls: tuple[Control, ...]) -> list[Occasion]:
    """The settings in which it does otherwise than with the same flashers alone."""
    rest = {control.name: control.positions[0].name for control in controls}
    alone = {
        tuple(name for name, _ in scene[0].phases): scene
        for scene in scenes
        if all(position == rest[name] or name in dict(scene[0].phases) for name, position in scene[0].setting)
    }
    found: list[Occasion] = []
    for scene in scenes:
        base = alone.get(tuple(name for name, _ in scene[0].phases))
        if base and _flashes(base, at) and [o.alight(at) for o in base] != [o.alight(at) for o in scene]:
            found += scene
    return found


def _leads_to(control: Control, words: frozenset[str]) -> bool:
    ends = {end for position in control.positions for join in position.joins for end in join}
    return bool(ends & words) or control.name.lower() in words


def _twins(scenes: Sequence[Scene], control: Control) -> Iterator[tuple[Scene, Scene]]:
    """Pairs of settings that differ in this switch alone: off, then on."""
    by_setting = {scene[0].setting: scene for scene in scenes}
    for scene in scenes:
        setting = dict(scene[0].setting)
        if control.kind == "switch" and setting[control.name] == ON:
            rest = {**setting, control.name: control.positions[0].name}
            yield by_setting[tuple(rest.items())], scene


def _burns(at: int, scenes: Sequence[Scene], control: Control) -> list[Occasion]:
    pairs = _twins(scenes, control)
    return [one for off, on in pairs if _dark(off, at) and _steady(on, at) for one in on]


def _varies(at: int, scenes: Sequence[Scene], control: Control) -> list[Occasion]:
    if not _burns(at, scenes, control):
        return []
    return [one for _, on in _twins(scenes, control) if not _steady(on, at) for one in on]


def regulated(states: Sequence[StateRow], controls: tuple[Control, ...]) -> tuple[Regulated, ...]:
    """What each filament of a design does that codes speak of, act by act."""
    lamps = [reading.lamp for reading in states[0].lamps] if states else []
    return acts_of(lamps, occasions(states, controls), controls)


def regulations(found: tuple[Regulated, ...]) -> tuple[RegulationNote, ...]:
    """What codes say of these acts, in the order of the acts; nothing where there are none."""
    if not found:
        return ()
    rows = read_table("regulations.csv").rows
    acts = dict.fromkeys(one.does for one in found)
    notes = [
        _note(row, tuple(one.lamp for one in found if one.does == act))
        for act in acts
        for row in rows
        if row.text("trigger") == act
    ]
    return (*notes, *(_note(row, ()) for row in rows if row.text("trigger") == ALWAYS))


def _note(row: DataRow, lamps: tuple[str, ...]) -> RegulationNote:
    return RegulationNote(
        regime=row.text("regime"),
        clause=row.text("clause"),
        subject=cast(Subject, row.text("trigger")),
        says=row.text("says"),
        status=row.text("status"),
        source=row.text("source"),
        confidence=row.text("confidence"),
        vehicles=row.text("vehicles"),
        lamps=lamps,
    )
