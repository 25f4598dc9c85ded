"""Questions about one circuit, their right answers and wrong ones, all of them simulated.

A wrong answer is what a near miss does, or what the circuit would do if nothing else changed when a lamp
fails; one that is right by chance is no wrong answer and is left out. What is not sure at every supply is not
asked. No source: our words.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from lampwright.results.worksheet import AnswerOption, ClassQuestion, LightWord, OtherDrawing, SettingRow
from lampwright.teaching.lights import Lights, Seen, Simulate, is_sure, lights_words
from lampwright.teaching.near_misses import NearCircuit, Parts, near_misses
from lampwright.teaching.order import shuffled

MOST_OPTIONS = 4
MOST_SETTINGS = 6
"""Rows of a table to fill in: half a page."""
LONGEST = 110
"""Characters of an answer to choose: more is not read."""
MOST_DRAWINGS = 4
NAIVE = "as if nothing else changed"
ANY: LightWord = "any"


@dataclass(frozen=True)
class Lesson:
    """A circuit to ask about: its parts, filaments in order, nodes, settings in words, what it does.

    title: says several settings, by number, in words. simulate: what any circuit of these parts does.
    """

    parts: Parts
    lamps: tuple[str, ...]
    nodes: tuple[str, ...]
    settings: tuple[str, ...]
    seen: Seen
    title: Callable[[Sequence[int]], str]
    simulate: Simulate
    seed: int

    @cached_property
    def near(self) -> tuple[tuple[NearCircuit, Seen], ...]:
        """Every near miss that can be simulated, and what it does."""
        pairs = ((one, self.simulate(one.parts)) for one in near_misses(self.parts, self.nodes))
        return tuple((one, seen) for one, seen in pairs if seen is not None)

    def mixed(self, things: Iterable[str], about: str) -> list[str]:
        """Put texts in the order of the seed."""
        return shuffled(things, self.seed, lambda one: f"{about}\n{one}")

    def sure(self) -> list[int]:
        """The settings in which every lamp does one thing."""
        return [at for at, lights in enumerate(self.seen.lights) if is_sure(lights)]


def observe(lesson: Lesson, explain: tuple[str, ...]) -> ClassQuestion | None:
    """A table to predict and to observe, and lines to explain; explain: what is so, for the key."""
    chosen = sorted(shuffled(lesson.sure(), lesson.seed, lambda at: lesson.settings[at])[:MOST_SETTINGS])
    if not chosen:
        return None
    rows = tuple(SettingRow(setting=lesson.settings[at], lights=lesson.seen.lights[at]) for at in chosen)
    return ClassQuestion(
        kind="observe",
        ask="Predict what every lamp does in each setting. Then build the circuit, observe, and explain.",
        lamps=lesson.lamps,
        settings=rows,
        explain=explain,
    )


def which_when(lesson: Lesson) -> ClassQuestion | None:
    """In which settings a lamp burns: the first lamp in the order of the seed that can be asked about."""
    for name in lesson.mixed(lesson.lamps, "which when"):
        lamp = lesson.lamps.index(name)
        ask = f"In which settings does {name} burn?"
        right = _burning(lesson.seen, lamp)
        if right is None:
            continue
        wrong: dict[str, str] = {}
        for miss, seen in lesson.near:
            other = _burning(seen, lamp)
            if other not in (None, right):
                wrong.setdefault(_when(lesson, other or ()), f"so it is with {miss.what}")
        if asked := _asked(lesson, "which when", ask, _when(lesson, right), wrong):
            return asked
    return None


def _burning(seen: Seen, lamp: int) -> tuple[int, ...] | None:
    """The settings in which a lamp burns, if it is dark in all others; None where it is neither somewhere."""
    lights = [one[lamp] for one in seen.lights]
    if any(light not in ("burns", "dark") for light in lights):
        return None
    return tuple(at for at, light in enumerate(lights) if light == "burns")


def _when(lesson: Lesson, settings: Sequence[int]) -> str:
    if not settings:
        return "In no setting."
    if len(settings) == len(lesson.settings):
        return "In every setting."
    return f"With {lesson.title(settings)}."


def which_lamps(lesson: Lesson) -> ClassQuestion | None:
    """What all lamps do in one setting in which some lamp gives light."""
    burning = [at for at in lesson.sure() if set(lesson.seen.lights[at]) - {"dark"}]
    for at in shuffled(burning, lesson.seed, lambda at: f"which lamps\n{lesson.settings[at]}"):
        ask = f"With {lesson.settings[at]}: what do the lamps do?"
        wrong = _wrong_lights(
            lesson, ((miss, seen.lights[at]) for miss, seen in lesson.near), lesson.lamps, ()
        )
        if asked := _asked(lesson, "which lamps", ask, _said(lesson.lamps, lesson.seen.lights[at]), wrong):
            return asked
    return None


def _wrong_lights(
    lesson: Lesson, near: Iterable[tuple[NearCircuit, Lights]], lamps: Sequence[str], without: Sequence[str]
) -> dict[str, str]:
    """What near misses do, each once, with the slip that it is; nothing is said of some lamps."""
    wrong: dict[str, str] = {}
    for miss, lights in near:
        kept = _only(lesson.lamps, lights, without)
        if is_sure(kept):
            wrong.setdefault(_said(lamps, kept), f"so it is with {miss.what}")
    return wrong


def _only(lamps: Sequence[str], lights: Lights, without: Sequence[str]) -> Lights:
    return tuple(light for lamp, light in zip(lamps, lights, strict=True) if lamp not in without)


def _said(lamps: Sequence[str], lights: Lights) -> str:
    return f"{lights_words(lamps, lights)}."


def what_if_fails(lesson: Lesson, most: int) -> list[ClassQuestion]:
    """What the other lamps do once one has burnt out: where that tells most first, each lamp once."""
    cases = [
        (name, at)
        for name in lesson.lamps
        for at in lesson.sure()
        if len(lesson.lamps) > 1 and _is_asked(lesson, name, at)
    ]
    cases = shuffled(cases, lesson.seed, lambda case: f"fails\n{case[0]}\n{lesson.settings[case[1]]}")
    cases.sort(key=lambda case: not _surprises(lesson, *case))
    found: dict[str, ClassQuestion] = {}
    for name, at in cases:
        if len(found) < most and name not in found and (asked := _if_it_fails(lesson, name, at)):
            found[name] = asked
    return list(found.values())


def _after(lesson: Lesson, name: str, at: int) -> Lights:
    """What the others do in a setting once a lamp has failed."""
    return _only(lesson.lamps, lesson.seen.failed[lesson.lamps.index(name)][at], [name])


def _is_asked(lesson: Lesson, name: str, at: int) -> bool:
    """Whether all is sure, and some lamp gives light, before or after."""
    after = _after(lesson, name, at)
    return is_sure(after) and bool({*after, *lesson.seen.lights[at]} - {"dark"})


def _surprises(lesson: Lesson, name: str, at: int) -> bool:
    """Whether something else changes than the lamp that has failed."""
    return _after(lesson, name, at) != _only(lesson.lamps, lesson.seen.lights[at], [name])


def _if_it_fails(lesson: Lesson, name: str, at: int) -> ClassQuestion | None:
    others = tuple(lamp for lamp in lesson.lamps if lamp != name)
    place = lesson.lamps.index(name)
    does = f"what does {others[0]} do?" if len(others) == 1 else "what do the other lamps do?"
    ask = f"The filament of {name} has burnt out. With {lesson.settings[at]}: {does}"
    sound = _only(lesson.lamps, lesson.seen.lights[at], [name])
    wrong = {_said(others, sound): NAIVE} if is_sure(sound) else {}
    near = ((miss, seen.failed[place][at]) for miss, seen in lesson.near)
    wrong = {**_wrong_lights(lesson, near, others, [name]), **wrong}
    return _asked(lesson, "if it fails", ask, _said(others, _after(lesson, name, at)), wrong)


def _asked(lesson: Lesson, kind: str, ask: str, right: str, wrong: dict[str, str]) -> ClassQuestion | None:
    """A question with options in the order of the seed; None where there is nothing to choose.

    The option that nothing else changes is kept before those of near misses.
    """
    if len(right) > LONGEST:
        return None
    texts = [one for one in lesson.mixed(wrong, ask) if one != right and len(one) <= LONGEST]
    texts.sort(key=lambda one: wrong[one] != NAIVE)
    because = {right: "", **{one: wrong[one] for one in texts[: MOST_OPTIONS - 1]}}
    if len(because) < 2:
        return None
    options = tuple(
        AnswerOption(text=one, right=one == right, because=because[one]) for one in lesson.mixed(because, ask)
    )
    return ClassQuestion(kind=kind, ask=ask, options=options, answer=right)  # type: ignore[arg-type]


def draw(
    lesson: Lesson, wanted: Sequence[Lights], given: tuple[str, ...], explain: tuple[str, ...]
) -> ClassQuestion:
    """A circuit to draw; wanted: what is asked of every lamp in each setting, `any` where nothing is.

    The key tells of near misses that do it as well, and what some others do instead.
    """
    rows = tuple(
        SettingRow(setting=setting, lights=lights)
        for setting, lights in zip(lesson.settings, wanted, strict=True)
        if set(lights) != {ANY}
    )
    also = [miss.what for miss, seen in lesson.near if seen.is_safe and _does(seen, wanted)]
    wrong = {}
    for miss, seen in lesson.near:
        if then := _misses(lesson, seen, wanted):
            wrong[miss.what] = then
    chosen = lesson.mixed(wrong, "draw")[:MOST_DRAWINGS]
    return ClassQuestion(
        kind="draw",
        ask="Draw a circuit of these parts that does this, with no others but wire.",
        lamps=lesson.lamps,
        settings=rows,
        given=given,
        explain=explain,
        also=tuple(lesson.mixed(also, "also")),
        wrong=tuple(OtherDrawing(what=one, then=wrong[one]) for one in chosen),
    )


def _does(seen: Seen, wanted: Sequence[Lights]) -> bool:
    """Whether a circuit does all that is wanted."""
    return all(
        word in (ANY, light)
        for lights, words in zip(seen.lights, wanted, strict=True)
        for light, word in zip(lights, words, strict=True)
    )


def _misses(lesson: Lesson, seen: Seen, wanted: Sequence[Lights]) -> str:
    """Say the first thing that a circuit surely does otherwise than wanted; empty where there is none."""
    for setting, lights, words in zip(lesson.settings, seen.lights, wanted, strict=True):
        for lamp, light, word in zip(lesson.lamps, lights, words, strict=True):
            if word not in (ANY, light) and light != "unsure":
                return f"with {setting}, {lights_words([lamp], [light])}"
    return ""
