"""The ways in which a spec that leaves a choice can be taken, each as rows that hold besides the others.

`[[either]]` is one choice: which of its alternatives holds. `[[code]]` is a choice for each of its settings:
which pattern it shows, none as another does. A way is one choice of each. What contradicts itself or the
other rows (one electrical state asked two things, light with nothing live) no circuit can do; that is no way,
and only where no way is left is it a finding.

Worked case: two lamps, off or lit, make four patterns; three settings take them in 4 * 3 * 2 = 24 ways,
and if no light is no pattern, in 3 * 2 * 1 = 6. No source: our format.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import Any

from lampwright.errors import FilePlace, Finding
from lampwright.spec.build import build_row, code_patterns, code_settings
from lampwright.spec.coherence import coherence_findings
from lampwright.spec.model import BehaviourRow, Origin, Spec, plain_specs

MOST_WAYS = 64
MOST_LOOKED_AT = 1024
"""Ways that are looked at for contradictions at the most."""

MOST_COUNTED = 100_000

Rows = tuple[BehaviourRow, ...]


@dataclass(frozen=True)
class Slot:
    """One choice: which of these options holds, each of them rows.

    origin: the table that it is of. apart: no other slot of that table takes the same option.
    """

    origin: Origin
    options: tuple[Rows, ...]
    apart: bool = False


@dataclass(frozen=True)
class Ways:
    """The ways in which choices can be made, or what is wrong with them: that there is none, or too many."""

    rows: tuple[Rows, ...] = ()
    finding: Finding | None = None


def slots_of(clean: Mapping[str, Any]) -> tuple[Slot, ...]:
    """Return the choices that a sound document leaves, in its order, those of codes last."""
    slots = []
    for number, table in enumerate(clean.get("either", ()), 1):
        origin = Origin("either", number)
        options = []
        for at, option in enumerate(table["rows"], 1):
            rows = option if isinstance(option, list) else [option]
            options.append(tuple(build_row(0, row, clean, replace(origin, alternative=at)) for row in rows))
        slots.append(Slot(origin, tuple(options)))
    for number, table in enumerate(clean.get("code", ()), 1):
        origin = Origin("code", number)
        for setting in code_settings(table, clean):
            shown = [{"when": setting, "show": pattern} for pattern in code_patterns(table)]
            options = [(build_row(0, row, clean, origin),) for row in shown]
            slots.append(Slot(origin, tuple(options), apart=True))
    return tuple(slots)


def expand_ways(spec: Spec, slots: Sequence[Slot], file: FilePlace) -> Ways:
    """Return the ways in which these choices can be made beside the rows of a spec, or why they cannot be."""
    if not slots:
        return Ways()
    left = [
        replace(slot, options=tuple(rows for rows in slot.options if _refusal(spec, rows, file) is None))
        for slot in slots
    ]
    for slot, kept in zip(slots, left, strict=True):
        if not kept.options:
            return Ways(finding=_none_left(spec, slot.origin, slot.options[0], file))
    place = origin_place(slots[0].origin, file)
    looked_at = list(islice(choices(left), MOST_LOOKED_AT + 1))
    if len(looked_at) > MOST_LOOKED_AT:
        return Ways(finding=_too_many(sum(1 for _ in islice(choices(left), MOST_COUNTED + 1)), place))
    ways = tuple(_numbered(spec, rows) for rows in looked_at if _refusal(spec, rows, file) is None)
    if not looked_at:
        return Ways(finding=_too_few(left, file))
    if not ways:
        return Ways(finding=_none_left(spec, slots[0].origin, looked_at[0], file))
    return Ways(ways) if len(ways) <= MOST_WAYS else Ways(finding=_too_many(len(ways), place))


def choices(slots: Sequence[Slot]) -> Iterator[Rows]:
    """Yield the rows of one option of every slot, in every way, the first slot slowest."""
    if not slots:
        yield ()
        return
    first, *others = slots
    for rows in first.options:
        left = [
            _without(slot, rows) if first.apart and slot.origin == first.origin else slot for slot in others
        ]
        for rest in choices(left):
            yield (*rows, *rest)


def _without(slot: Slot, taken: Rows) -> Slot:
    """The slot without the pattern that another has taken."""
    return replace(slot, options=tuple(rows for rows in slot.options if rows[0].show != taken[0].show))


def _numbered(spec: Spec, rows: Rows) -> Rows:
    """These rows with numbers beyond those of the behaviour table."""
    return tuple(replace(row, number=len(spec.behaviour) + at) for at, row in enumerate(rows, 1))


def _refusal(spec: Spec, rows: Rows, file: FilePlace) -> Finding | None:
    """What makes it impossible that these rows hold beside those of a spec, the first of it."""
    (whole,) = plain_specs(replace(spec, ways=(_numbered(spec, rows),)))
    return next(coherence_findings(whole, file), None)


def _none_left(spec: Spec, origin: Origin, rows: Rows, file: FilePlace) -> Finding:
    """That no option of a table can be, with what refuses the first."""
    why = _refusal(spec, rows, file)
    assert why is not None, "only what is refused is left out"
    shown = ", ".join(f"{lamp} {word}" for row in rows for lamp, word in row.show)
    return Finding(
        origin_place(origin, file), f"no choice can be; of the first, {shown}: {why.said}", why.remedy
    )


def _too_few(slots: Sequence[Slot], file: FilePlace) -> Finding:
    """That the settings of a code cannot all have patterns of their own, the first such code."""
    codes = dict.fromkeys(slot.origin for slot in slots if slot.apart)
    short = next(one for one in codes if not any(choices([slot for slot in slots if slot.origin == one])))
    said = "its settings have fewer patterns among them than settings, beside the other rows"
    return Finding(origin_place(short, file), said, "name more lamps or words, or fewer settings")


def _too_many(count: int, place: FilePlace) -> Finding:
    many = f"over {MOST_COUNTED:,}" if count > MOST_COUNTED else f"{count:,}"
    said = f"the choices can be made in {many} ways, more than {MOST_WAYS} that are searched"
    remedy = "say more in rows [[behaviour]], or name fewer lamps, words, settings or alternatives"
    return Finding(place, said, remedy)


def origin_place(origin: Origin, file: FilePlace) -> FilePlace:
    """Return the place of a table of choices."""
    return file.key(origin.table).row(origin.number)
