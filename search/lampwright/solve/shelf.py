"""What a lamp's name means in one spec: a type of the catalogue or of the user's own, for which volts.

`P21W` is the catalogue's type for the system's voltage; `P21W@12` the one for 12 V, whatever the
system; a lamp of the user's own goes by its name alone. A name keeps the user's spelling: the
same in the catalogue but for small and capital letters, it is the same lamp.

    >>> Shelf(24.0).lamp("p21w@12").name, Shelf(24.0).lamp("P21W").filaments[0].test_volts
    ('p21w@12', 28.0)

Source: the catalogue's; where a lamp of the user's own has neither lumens nor kelvin, our judgement
(`constants.csv`).
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from lampwright.errors import FilePlace, Finding, InputError
from lampwright.parts.catalogue import FILLINGS, LampType, lamp_names, lamp_type, lamp_types
from lampwright.parts.conduction import Filling, conducted_share
from lampwright.parts.filament import Filament, Place, rated_kelvin
from lampwright.parts.photometry import tungsten_efficacy
from lampwright.parts.tables import UnknownPart, constant
from lampwright.spec.load import load_types, types_place
from lampwright.spec.model import OwnFilament, OwnLamp, Spec

AT = "@"
NO_SYSTEM = 0.0
"""Where lamps are named without a supply."""
NOT_MODELLED = (
    (r".*LED.*|L[RWY]?\d.*", "an LED"),
    (r"D\d[RS]", "a gas discharge lamp"),
    (r"H(1|3|4|7|8|9|1\d)(LL)?B?|HB[34]A?|HS\dA?|HIR[12]|R2|S[123]|90(0[3-8]|1[12])", "a headlamp"),
)
"""What names lamps that are none of the model, and what these are: UN R37, R99, R128 (MEMORY)."""


@dataclass(frozen=True)
class Shelf:
    """The lamps that a spec can name: system [V], 0 for none, and those of the user's own."""

    system: float
    own: tuple[OwnLamp, ...] = ()

    def lamp(self, name: str, filling: Filling | None = None) -> LampType:
        """The type of a name, which keeps the name's spelling; filling None for the likelier one.

        Raises UnknownPart, naming near types, or how to name it for other volts.
        """
        return _lamp(self, name, filling)

    def at_any_volts(self, name: str) -> tuple[LampType, ...]:
        """The types that a name may mean on one system or another; none where it means nothing."""
        base, at, behind = name.partition(AT)
        return tuple(
            one
            for one in self.lamps()
            if one.model.upper() == base.upper() and (not at or _volts(behind) == one.system)
        )

    def unknown(self, name: str) -> UnknownPart:
        """What is wrong with a name that means nothing here, and what would do."""
        return _unknown(self, name)

    def lamps(self, holders: frozenset[tuple[float, str]] | None = None) -> tuple[LampType, ...]:
        """Every type, each in its likelier filling, named as a spec would; the catalogue's first.

        holders: the systems [V] and caps of which the catalogue's are wanted; None for all.
        """
        return _lamps(self, holders)

    def names(self) -> tuple[str, ...]:
        """What names a lamp without volts behind it: the user's own, and the catalogue's of the system."""
        return *(one.name for one in self.own), *lamp_names(self.system)


def shelf_of(spec: Spec) -> Shelf:
    """The lamps that a spec can name."""
    return Shelf(spec.supply.system, spec.types)


def same_type(one: LampType, other: LampType) -> bool:
    """Whether two names mean the same lamp."""
    return (one.model, one.system) == (other.model, other.system)


@lru_cache(maxsize=4096)
def _lamp(shelf: Shelf, name: str, filling: Filling | None) -> LampType:
    base, at, behind = name.partition(AT)
    volts = _volts(behind) if at else None
    for one in shelf.own:
        if one.name.upper() == base.upper() and (not at or volts == one.filaments[0].volts):
            return replace(own_type(one, filling), name=name)
    if not at or volts is not None:
        system = shelf.system if volts is None else volts
        for known in lamp_names(system):
            if known.upper() == base.upper():
                return replace(lamp_type(known, system, filling), name=name)
    raise _unknown(shelf, name)


def _volts(text: str) -> float | None:
    """The volts [V] behind an @, or None where there are none."""
    try:
        return float(text.removesuffix("V").removesuffix("v").strip())
    except ValueError:
        return None


def _unknown(shelf: Shelf, name: str) -> UnknownPart:
    """Say what would do: the same lamp for other volts, or near names."""
    base, at, behind = name.partition(AT)
    like = [one for one in shelf.lamps() if one.model.upper() == base.upper()]
    other = next((what for named, what in NOT_MODELLED if re.fullmatch(named, base.upper())), "")
    if not like and other:
        said = f"{other}, and filament lamps of signals, dials and benches alone are modelled"
        return UnknownPart("lamp type here", name, (), f"it is {said}", "choose one of those")
    if not like:
        volts = _volts(behind) if at else shelf.system
        here = f" for {volts:g} V" if volts else ""
        names = (
            shelf.names()
            if volts and volts == shelf.system
            else tuple(dict.fromkeys(one.model for one in shelf.lamps()))
        )
        return UnknownPart(f"lamp type{here}", name, names)
    ways = [f'"{one.name}"' for one in like]
    made = _listed([f"{one.system:g} V" for one in like], "and")
    volts = _volts(behind) if at else shelf.system
    kind = f"lamp type for {volts:g} V" if volts else "lamp type"
    return UnknownPart(kind, name, (), f"made for {made}", f"write {_listed(ways, 'or')}")


def _listed(words: Sequence[str], last: str) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}"


@lru_cache(maxsize=64)
def _lamps(shelf: Shelf, holders: frozenset[tuple[float, str]] | None) -> tuple[LampType, ...]:
    def named(kind: LampType) -> LampType:
        here = kind.system == shelf.system
        return kind if here else replace(kind, name=f"{kind.model}{AT}{kind.system:g}")

    return *map(named, lamp_types(holders)), *(own_type(one, None) for one in shelf.own)


@lru_cache(maxsize=4096)
def own_type(own: OwnLamp, filling: Filling | None) -> LampType:
    """A lamp of the user's own, in a filling or the likelier one.

    Raises ValueError where no tungsten below melting gives its lumens.
    """
    fillings = _fillings(own)
    held = filling or fillings[0]
    places: tuple[Place, ...] = ("single",) if len(own.filaments) == 1 else ("major", "minor")
    lit = all(one.lumens or one.kelvin for one in own.filaments)
    return LampType(
        name=own.name,
        model=own.name,
        family="own",
        system=own.filaments[0].volts,
        cap=own.cap,
        filaments=tuple(_own_filament(own, *each, held) for each in zip(own.filaments, places, strict=True)),
        shared_contact=len(own.filaments) > 1 and own.shared_contact,
        colour="white",
        filling=held,
        fillings=fillings,
        filling_status="the user's own" if own.filling else "not said",
        filling_confidence="medium" if own.filling else "low",
        source="the user's own",
        confidence="medium" if lit else "low",
    )


def _fillings(own: OwnLamp) -> tuple[Filling, ...]:
    """What it may hold, the likelier first: gas from 0.5 A up, as in the catalogue."""
    if own.filling is not None:
        return (own.filling,)
    first = own.filaments[0]
    return FILLINGS if first.watts / first.volts >= USUALLY_GAS else FILLINGS[::-1]


USUALLY_GAS = 0.5
"""Amps from which a bulb is likelier to hold gas: between the catalogue's 0.3 and 0.7 A."""


def _own_filament(own: OwnLamp, one: OwnFilament, place: Place, filling: Filling) -> Filament:
    share = own.conducted if own.conducted is not None else conducted_share(filling, one.volts)
    if one.lumens is not None:
        lumens, kelvin = one.lumens, rated_kelvin(one.lumens, one.watts, share)
    else:
        kelvin = one.kelvin or constant(f"usual_kelvin_{filling}")
        lumens = one.watts * (1.0 - share) * float(tungsten_efficacy(kelvin))
    return Filament(
        place=place,
        test_volts=one.volts,
        watts=one.watts,
        lumens=lumens,
        rated_kelvin=kelvin,
        filling=filling,
        conducted_share=share,
        watts_tolerance=own.watts_tolerance,
        flux_tolerance=own.lumens_tolerance,
        life_hours=None,
        life_exponent=constant(f"life_exponent_{filling}"),
    )


def own_faults(own: OwnLamp) -> Iterator[tuple[str, str]]:
    """What of a lamp of the user's own cannot be: said, and what would do."""
    names = {name.upper() for name in lamp_names()}
    if own.name.upper() in names:
        yield f'"{own.name}" is the name of a lamp of the catalogue', "name it otherwise"
    for filling in _fillings(own):
        try:
            own_type(own, filling)
        except ValueError as error:
            yield f"no filament gives this light ({error})", "mend lumens or watts, or leave lumens out"
            return


def own_findings(types: Sequence[OwnLamp], place: FilePlace) -> list[Finding]:
    """What cannot be of lamps of the user's own, in tables at a place."""
    return [Finding(place.key(own.name), *fault) for own in types for fault in own_faults(own)]


def read_types(path: Path, file: str = "", *, beside_parts: bool = False) -> tuple[OwnLamp, ...]:
    """The lamps of a user's own file, which messages call `file`. Raises InputError with every finding.

    beside_parts: in a circuit file, which may have none.
    """
    types = load_types(path, beside_parts=beside_parts)
    findings = own_findings(types, types_place(path, file)) if types else []
    if findings:
        raise InputError(findings)
    return types


def with_circuit_types(own: Sequence[OwnLamp], path: Path) -> tuple[OwnLamp, ...]:
    """These lamps and those that a circuit file brings. Raises InputError where one name means two lamps."""
    brought = read_types(path, beside_parts=True)
    known = {one.name.upper(): one for one in own}
    remedy = "give it another name in the circuit, or the same figures in both places"
    findings = [
        Finding(
            types_place(path).key(one.name),
            "is another lamp than the one of this name that is known",
            remedy,
        )
        for one in brought
        if known.get(one.name.upper(), one) != one
    ]
    if findings:
        raise InputError(findings)
    return *own, *(one for one in brought if one.name.upper() not in known)
