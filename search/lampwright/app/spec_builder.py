"""A spec said in Python: every call gives a new spec, held against the format as a file would be.

What it holds is the document of a spec file, so keys, checks and messages are the file's; places begin
with the call. Names go first: controls, then lamps, then what speaks of them. A name said again stands
in place of what was said of it.

    >>> spec = SpecBuilder("A tell-tale", SupplyVolts(12, (11.8, 13.5, 14.4)))
    >>> spec = spec.switch("brake", feed="54").lamp("stop", "P21W").when(brake="on", stop="lit")
    >>> spec.name, spec
    ('a_tell_tale', <spec a_tell_tale: 1 control, 1 lamp, 1 row>)
    >>> spec.lamp("stop", "P12W")
    Traceback (most recent call last):
    lampwright.errors.InputError: Spec.lamp("stop"): lamps.stop.choose: ...
"""

import json
import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any, Self

from lampwright.app.frozen_table import FrozenTable, frozen, given, many, thawed
from lampwright.app.public import named
from lampwright.errors import FilePlace, Finding, InputError, shown
from lampwright.problem.reading import read_document, read_spec
from lampwright.spec.format import VERSION, spec_schema
from lampwright.spec.load import FILE_NAME
from lampwright.spec.model import FAILURES, Spec
from lampwright.spec.references import reference_findings
from lampwright.spec.sifting import Sieve
from lampwright.spec.wording import offered
from lampwright.store.files import write_bytes

UNSAID = {
    "controls": "say .switch(...), .flasher(...) or .positions(...)",
    "lamps": "say .lamp(...)",
    "behaviour": "say .when(...)",
}
"""What a spec in the making may lack, and how it is said."""
When = Mapping[str, str | Sequence[str]]
"""Controls with their positions, and what has failed."""
Rows = Mapping[str, Mapping[str, Any]]
"""A row of behaviour: when, and what it shows."""
REMEDY = "name a file where you may write"


@named("Supply")
@dataclass(frozen=True)
class SupplyVolts:
    """The supply: system voltage; low, normal and high volts at the feeds; whether terminal 30 may be used.

    system: [V], 1 to 60. volts: three rising numbers [V]. Raises InputError for others.
    """

    system: float
    volts: Sequence[float]
    always_live: bool = False

    def __post_init__(self) -> None:
        """Hold it against the format."""
        for name, value in asdict(self).items():
            object.__setattr__(self, name, frozen(value))
        place, sieve = FilePlace("Supply"), Sieve()
        clean = sieve.value(spec_schema()["properties"]["supply"], thawed(asdict(self)), place)
        findings = [*sieve.findings, *reference_findings({"supply": clean}, place)]
        if findings:
            raise InputError(findings)


@named("Spec")
@dataclass(frozen=True, eq=False, repr=False)
class SpecBuilder:
    """What the lamps must do for every setting of the controls; each call gives a new, checked spec.

    title: what the circuit is for, in one line. supply: a `Supply`. name: of its results' folder; made
    of the title if left out. tables: the rest of the document, as the calls below make it.

    Raises InputError, with its place and what would do, for whatever the format refuses; so do all
    calls, and `dataclasses.replace`. It need not be complete before it is searched or checked.
    """

    title: str
    supply: SupplyVolts
    name: str = ""
    tables: Mapping[str, Any] = field(default_factory=FrozenTable)

    def __post_init__(self) -> None:
        """Hold it against the format; what is still to be said is let pass."""
        supply: object = self.supply
        if not isinstance(supply, SupplyVolts):
            said, remedy = f"{shown(supply)} is no Supply", "give Supply(12, (11.8, 13.5, 14.4))"
            raise InputError([Finding("Spec: supply", said, remedy)])
        object.__setattr__(self, "tables", frozen(self.tables))
        if not self.name and isinstance(self.title, str):
            stem = re.sub(r"[^\w]+", "_", self.title.lower()).strip("_")
            object.__setattr__(self, "name", stem[:100].strip("_") or "spec")
        try:
            self._read()
        except InputError as error:
            findings = [one for one in error.findings if not self._unsaid(one)]
            if findings:
                raise InputError([_named_here(one) for one in findings]) from None

    @classmethod
    def load(cls, path: Path | str) -> Self:
        """Read a spec file. Raises InputError with every finding."""
        spec = read_spec(Path(path))
        said = tomllib.loads(spec.text)
        supply = SupplyVolts(**said.pop("supply"))
        del said["lampwright"]
        if "types_from" in said:  # the lamps of that file become the spec's own
            more = tomllib.loads((Path(path).parent / said.pop("types_from")).read_text(encoding="utf-8-sig"))
            said["types"] = {**said.get("types", {}), **more["types"]}
        loaded = cls(said.pop("title"), supply, spec.name, frozen(said))
        vars(loaded)["model"] = spec  # with the file's own text, comments and all
        return loaded

    @cached_property
    def model(self) -> Spec:
        """The spec as the search takes it. Raises InputError where something is still to be said."""
        try:
            spec = self._read()
        except InputError as error:
            raise InputError(
                [replace(one, remedy=self._unsaid(one) or one.remedy) for one in error.findings]
            ) from None
        return replace(spec, text=self.to_toml())

    def _unsaid(self, finding: Finding) -> str:
        """How to say what this finding misses, if that is not said yet."""
        return next((UNSAID[key] for key in UNSAID if finding.steps == (key,) and key not in self.tables), "")

    def _read(self) -> Spec:
        return read_document(self._document(), self.name, "Spec")

    def _document(self) -> dict[str, Any]:
        head = {"lampwright": VERSION, "title": self.title, "supply": asdict(self.supply)}
        return {key: thawed(value) for key, value in (*head.items(), *self.tables.items())}

    def _saying(self, call: str, table: str, said: object) -> Self:
        try:
            return replace(self, tables={**self.tables, table: said})
        except InputError as error:
            raise InputError([one.of(f"Spec.{call}") for one in error.findings]) from None

    def _adding(self, call: str, table: str, said: Mapping[str, object]) -> Self:
        return self._saying(call, table, {**self.tables.get(table, {}), **said})

    def _row(self, call: str, table: str, said: Mapping[str, object]) -> Self:
        return self._saying(call, table, (*self.tables.get(table, ()), said))

    def switch(self, name: str, feed: str, *, most_amps: float | None = None) -> Self:
        """A switch: on, it joins its feed to the supply. most_amps: what contact and fuse carry [A]."""
        return self._control("switch", name, kind="switch", feed=feed, most_amps=most_amps)

    def flasher(self, name: str, feed: str, *, most_amps: float | None = None) -> Self:
        """A flasher: on, it joins its feed to the supply and parts them, in turn. most_amps: as a switch."""
        return self._control("flasher", name, kind="flasher", feed=feed, most_amps=most_amps)

    def positions(
        self,
        name: str,
        positions: Mapping[str, Iterable[Sequence[str]]],
        *,
        most_amps: float | None = None,
    ) -> Self:
        """A switch of any kind: for each position the pairs of terminals that its contacts join.

        "30" is the supply, "31" ground: `{"left": [("30", "L")], "off": []}`.
        """
        return self._control("positions", name, kind="positions", positions=positions, most_amps=most_amps)

    def _control(self, call: str, name: str, **said: object) -> Self:
        return self._adding(_call(call, name), "controls", {name: given(**said)})

    def lamp(
        self,
        name: str,
        choose: str | Iterable[str],
        *,
        filaments: str | Iterable[str] | None = None,
        common: str | None = None,
        colour: str | None = None,
    ) -> Self:
        """A lamp. choose: catalogue types, all tried. filaments: their names, major first.

        common: the terminal at which the holder fixes one end; left out, the holder is insulated.
        colour: of its lens, as "amber", for the page alone.
        """
        said = given(choose=many(choose), filaments=many(filaments), common=common, colour=colour)
        return self._adding(_call("lamp", name), "lamps", {name: said})

    def type(
        self,
        name: str,
        volts: float,
        *,
        watts: float | None = None,
        amps: float | None = None,
        lumens: float | None = None,
        kelvin: float | None = None,
        filling: str | None = None,
        conducted: float | None = None,
        cap: str | None = None,
        watts_tolerance: float | None = None,
        lumens_tolerance: float | None = None,
        minor: Mapping[str, float] | None = None,
        shared_contact: bool | None = None,
    ) -> Self:
        """A lamp type of your own: watts or amps at these volts, lumens or kelvin and filling if known.

        conducted: share of the watts not radiated. minor: the smaller of two filaments, as
        `{"watts": 5}`. The tolerances are fractions.
        """
        said = given(volts=volts, watts=watts, amps=amps, lumens=lumens, kelvin=kelvin, filling=filling)
        rest = given(conducted=conducted, cap=cap, minor=minor, shared_contact=shared_contact)
        stray = given(watts_tolerance=watts_tolerance, lumens_tolerance=lumens_tolerance)
        return self._adding(_call("type", name), "types", {name: {**said, **rest, **stray}})

    def resistors(
        self,
        most: int,
        *,
        series: str | None = None,
        ohms: Sequence[float] | None = None,
        watts: float | Iterable[float] | None = None,
        tolerance: float | None = None,
    ) -> Self:
        """At most so many resistors, of a series (E6), from least to greatest ohms, of these watts.

        tolerance: a fraction, in place of the series' own.
        """
        said = given(most=most, series=series, ohms=ohms, watts=many(watts), tolerance=tolerance)
        return self._adding("resistors", "extras", {"resistors": said})

    def diodes(self, most: int, choose: str | Iterable[str]) -> Self:
        """At most so many diodes, of these catalogue types."""
        return self._adding("diodes", "extras", {"diodes": given(most=most, choose=many(choose))})

    def helpers(self, most: int, choose: str | Iterable[str]) -> Self:
        """At most so many helper lamps, of which nothing is asked: as few as will do are taken."""
        return self._adding("helpers", "extras", {"lamps": given(most=most, choose=many(choose))})

    def alike(self, *groups: Iterable[str]) -> Self:
        """Groups of lamps that take the same type."""
        return self._saying("alike", "alike", tuple(tuple(group) for group in groups))

    def bounds(self, *, joints: int | None = None, wires: int | None = None) -> Self:
        """How far the listing goes: most joints (1), most wires between two terminals (0)."""
        return self._adding("bounds", "search", given(joints=joints, wires=wires))

    def levels(
        self,
        *,
        dark: float | None = None,
        off: float | Sequence[float] | None = None,
        dim: Sequence[float] | None = None,
        lit: float | Sequence[float] | None = None,
        full: float | Sequence[float] | None = None,
    ) -> Self:
        """What the words for a lamp stand for: relative flux, one edge or a pair; dark: kelvin at most."""
        return self._adding("levels", "levels", given(dark=dark, off=off, dim=dim, lit=lit, full=full))

    def when(self, **said: str | Sequence[str]) -> Self:
        """A row: controls with their positions, and what the lamps then do, as `brake="on", stop="lit"`.

        What has failed in it, if anything: `failed="left"`, `fuse_blown="brake"` or `ground_lost="trailer"`.
        Where a lamp has the name of a control, or a name is no word of Python, use `row`.
        """
        controls = self.tables.get("controls", {})
        lamps = self.tables.get("lamps", {})
        filaments = {one for name, lamp in lamps.items() for one in lamp.get("filaments", (name,))}
        both = sorted(set(said) & set(controls) & filaments)
        if both:
            finding = Finding("Spec.when", f'"{both[0]}" is a control and a lamp', "use .row(when, show)")
            raise InputError([finding])
        failures = set(FAILURES) - set(controls) - filaments
        unknown = sorted(set(said) - set(controls) - set(lamps) - filaments - failures)
        if unknown:
            known = (*controls, *sorted(filaments))
            remedy = offered(unknown[0], known) if known else "say controls and lamps first"
            said_of = "is neither a control nor a lamp"
            raise InputError([Finding(f"Spec.when: {unknown[0]}", said_of, remedy)])
        settings = {name: word for name, word in said.items() if name in {*controls, *failures}}
        show = {name: word for name, word in said.items() if name not in settings}
        return self._row("when", "behaviour", {"when": settings, "show": show})

    def row(self, when: When, show: Mapping[str, str]) -> Self:
        """A row of behaviour: the setting, control by control, and what each lamp then does."""
        return self._row("row", "behaviour", {"when": when, "show": show})

    def either(self, *rows: Rows | Sequence[Rows]) -> Self:
        """Alternatives of which one holds: each a row, `{"when": {...}, "show": {...}}`, or several."""
        return self._row("either", "either", {"rows": rows})

    def code(
        self,
        *lamps: str,
        control: str | None = None,
        tell_apart: Iterable[When] | None = None,
        words: Iterable[str] | None = None,
        when: When | None = None,
        blank: bool | None = None,
    ) -> Self:
        """Lamps that show another pattern in each setting to be told apart; any assignment will do.

        The settings: all positions of a control, or those of `tell_apart`. words: what a lamp may show, "off"
        and "lit" if left out. when: what holds besides. blank: whether no lamp alight is a pattern, as it is.
        """
        said = given(lamps=lamps, words=many(words), tell_apart=tell_apart, control=control)
        return self._row("code", "code", {**said, **given(when=when, blank=blank)})

    def same(self, *lamps: str, within: float, when: When | None = None) -> Self:
        """Lamps that must be equally bright, each two within a ratio of 1 ± within, in a setting or all."""
        return self._row("same", "same", given(lamps=lamps, when=when, within=within))

    def brighter(
        self,
        lamp: str,
        *,
        by: float,
        than: str | None = None,
        when: When | None = None,
        versus: When | None = None,
    ) -> Self:
        """A lamp that must give at least `by` times the light of `than`, or of itself in another setting.

        versus: what is otherwise in that setting; all that is not named is as in `when`.
        """
        row = given(lamp=lamp, than=than, when=when, versus=versus, by=by)
        return self._row("brighter", "brighter", row)

    def place(
        self,
        zone_of: Mapping[str, str | Iterable[str]] | None = None,
        *,
        most_conductors: int | None = None,
        **said: str | Iterable[str],
    ) -> Self:
        """Which thing (lamp, control, "supply") is in which zone: `left="trailer"` or `trailer=["left"]`.

        zone_of: the same, for names that are no words of Python. most_conductors: between the zones.
        """
        placed = {**(zone_of or {}), **said, **given(most_conductors=most_conductors)}
        return self._adding("place", "place", placed)

    def wiring(
        self,
        *,
        length: float | None = None,
        lengths: Mapping[str, float] | None = None,
        size: float | None = None,
        sizes: float | Iterable[float] | None = None,
        most_drop: float | None = None,
        celsius: float | None = None,
    ) -> Self:
        """Wires: metres of one, by zones ("vehicle-trailer"), mm2, most volts lost, Celsius."""
        said = given(length=length, lengths=lengths, size=size, sizes=many(sizes))
        return self._adding("wiring", "wiring", {**said, **given(most_drop=most_drop, celsius=celsius)})

    def stock(
        self,
        *,
        builds: str | Iterable[str] | None = None,
        least_margin: float | None = None,
        alike: str | Iterable[str] | None = None,
        lamps: Mapping[str, int] | None = None,
        diodes: Mapping[str, int] | None = None,
        resistors: Iterable[Mapping[str, float]] | None = None,
        prices: Mapping[str, float] | None = None,
    ) -> Self:
        """The parts box: copies to build, least stops of each, lamps of one type in all, parts and prices.

        resistors: rows as `{"ohms": 4.7, "watts": 10, "have": 3}`.
        """
        said = given(builds=many(builds), least_margin=least_margin, alike=many(alike), lamps=lamps)
        rest = given(diodes=diodes, resistors=resistors, prices=prices)
        return self._adding("stock", "stock", {**said, **rest})

    def to_toml(self) -> str:
        """The text of a spec file that says the same."""
        from lampwright.app.toml_text import spec_text

        return spec_text(self._document())

    def save(self, path: Path | str) -> None:
        """Write a spec file in the place of one that is there. Raises StoreError where it cannot be."""
        write_bytes(Path(path), self.to_toml().encode("utf-8"), REMEDY)

    def __str__(self) -> str:
        """Write the spec as its file."""
        return self.to_toml()

    def __repr__(self) -> str:
        """Say shortly which spec this is."""
        counts = [(word, len(self.tables.get(key, ()))) for word, key in COUNTED]
        told = ", ".join(f"{count} {word}{'s' * (count != 1)}" for word, count in counts)
        return f"<spec {self.name}: {told}>"

    @property
    def _said(self) -> str:
        return json.dumps([self.name, self._document()])

    def __eq__(self, other: object) -> bool:
        """Whether both say the same, in the same order, by which terminals and states are numbered."""
        return isinstance(other, SpecBuilder) and self._said == other._said

    def __hash__(self) -> int:
        """Agree with equality."""
        return hash(self._said)


COUNTED = (("control", "controls"), ("lamp", "lamps"), ("row", "behaviour"))


def _call(call: str, name: object) -> str:
    return f"{call}({json.dumps(name, ensure_ascii=False, default=str)})"


def _named_here(finding: Finding) -> Finding:
    """A finding of the file's name is one of ours."""
    if finding.at != FILE_NAME:
        return finding
    return Finding(FilePlace("Spec").key("name"), finding.said, "use letters, digits, _ and -, as tail")
