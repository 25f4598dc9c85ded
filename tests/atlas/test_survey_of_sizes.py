"""Listing, solving and gathering of an atlas, each against a plain twin or a count from elsewhere."""

from collections.abc import Callable
from itertools import combinations, permutations, product

import networkx as nx
import numpy as np
import pytest

from lampwright.atlas.bound import AtlasBound, Size, feed_renamings, problem_of
from lampwright.atlas.circuits import count_drawings, distinct_circuits, every_fit, least_fits
from lampwright.atlas.functions import NAMES, function_name, function_words, lit_without_feeds, settings_words
from lampwright.atlas.gather import least_image, renamed
from lampwright.atlas.showing import MOST_STOPS, UNCLEAR, show
from lampwright.atlas.survey import setting_of, survey_size
from lampwright.graphs.drawings import canonical_drawing
from lampwright.parts.catalogue import lamp_type
from lampwright.parts.filament import flux_across

SMALL = [
    (AtlasBound(), Size(3, 0)),
    (AtlasBound(always_live=True), Size(3, 0)),
    (AtlasBound(always_live=True), Size(2, 1)),
    (AtlasBound(feeds=3), Size(3, 0)),
    (AtlasBound(feeds=1, always_live=True), Size(2, 1)),
]


@pytest.mark.parametrize(("bound", "size"), SMALL)
def test_drawings_add_up_to_the_orbit_count(bound: AtlasBound, size: Size) -> None:
    found = survey_size(bound, size, 1)
    assert found.drawings == count_drawings(bound, size)
    assert found.distinct == sum(len(some.ends) for some in found.circuits)
    assert found.unsolved == 0


@pytest.mark.parametrize(("bound", "size"), SMALL[:3])
def test_fitted_circuits_are_each_counted_once(bound: AtlasBound, size: Size) -> None:
    fits = every_fit(bound, size)
    for circuits in distinct_circuits(bound, size):
        kept = least_fits(circuits, fits)
        for ends, which in zip(circuits.ends, kept, strict=True):
            keys = [
                canonical_drawing(
                    circuits.cell.vertices,
                    circuits.cell.terminals,
                    ends,
                    [*map(str, fit), *["diode"] * size.diodes],
                    [False] * size.lamps + [True] * size.diodes,
                ).key
                for fit in fits
            ]
            assert len({keys[at] for at in np.flatnonzero(which)}) == which.sum() == len(set(keys))


def test_no_two_circuits_are_isomorphic_with_feeds_renamed() -> None:
    # networkx tells graphs apart; drawings of one circuit may differ as graphs, never the other way round
    bound, size = AtlasBound(always_live=True), Size(3, 0)
    graphs = []
    for circuits in distinct_circuits(bound, size):
        for ends in circuits.ends:
            graph: nx.MultiGraph[int] = nx.MultiGraph()
            names = {0: "feed", 1: "feed", 2: "30", 3: "31"}
            graph.add_nodes_from(
                (at, {"held": names.get(at, "joint")}) for at in range(circuits.cell.vertices)
            )
            graph.add_edges_from(ends.tolist())
            graphs.append(graph)
    alike = nx.algorithms.isomorphism.categorical_node_match("held", "")
    for one, other in combinations(graphs, 2):
        assert not nx.is_isomorphic(one, other, node_match=alike)


def test_what_is_gathered_is_what_a_plain_look_finds() -> None:
    bound, size = AtlasBound(always_live=True), Size(3, 0)
    found, fits = survey_size(bound, size, 2), every_fit(bound, size)
    plain: dict[tuple[int, ...], tuple[float, set[tuple[int, int]]]] = {}
    for joints, circuits in enumerate(distinct_circuits(bound, size)):
        wanted = np.ones((len(circuits.ends), len(fits)), np.bool_)
        shown = show(circuits.ends, fits, wanted, setting_of(problem_of(bound, size), joints))
        for circuit, fit in product(range(len(circuits.ends)), range(len(fits))):
            lamps = list(
                zip(
                    shown.normal[circuit, fit].tolist(),
                    shown.normal_stops[circuit, fit].tolist(),
                    strict=True,
                )
            )
            for count in (1, 2, 3):
                for some in combinations(lamps, count):
                    own = tuple(sorted(one for one, _ in some))
                    if UNCLEAR in own or len(set(own)) < count or (0 in own and count > 1):
                        continue
                    form = min(
                        tuple(sorted(renamed(one, names) for one in own)) for names in feed_renamings(2)
                    )
                    best, where = plain.setdefault(form, (-1.0, set()))
                    where.add((joints, circuit))
                    plain[form] = max(best, min(stops for _, stops in some)), where
    assert set(plain) == set(found.normal)
    for form, (stops, where) in plain.items():
        assert found.normal[form].circuits == where
        assert found.normal[form].best.stops == pytest.approx(stops, abs=1e-5)
        assert set(found.always) <= set(found.normal)


def test_one_lamp_is_as_bright_as_its_filament() -> None:
    bound, size = AtlasBound(feeds=1), Size(1, 0)
    fits = every_fit(bound, size)
    (circuits, *_) = distinct_circuits(bound, size)
    shown = show(circuits.ends, fits, np.ones((1, 4), np.bool_), setting_of(problem_of(bound, size), 0))
    assert shown.normal.ravel().tolist() == [0b10] * 4
    for at, name in enumerate(bound.types):
        flux = flux_across(lamp_type(name, 12.0).filaments[0], (13.5,))[0]
        # read from a table of curves: a thousandth of a stop
        assert shown.normal_stops[0, at, 0] == pytest.approx(min(np.log2(flux / 0.25), MOST_STOPS), abs=2e-3)


@pytest.mark.parametrize(("feeds", "classes"), [(0, 2), (1, 4), (2, 12), (3, 80)])
def test_functions_up_to_renaming(feeds: int, classes: int) -> None:
    # 2, 4, 12, 80, 3984: Boolean functions under permutation of variables, OEIS A003180, from memory
    assert len({least_image((one,), feeds).functions for one in range(2**2**feeds)}) == classes


def test_a_renaming_is_told_with_its_image() -> None:
    for functions in permutations((0b1100, 0b1000, 0b0110)):
        image = least_image(functions, 2)
        assert image.functions == tuple(renamed(functions[at], image.feeds) for at in image.places)


@pytest.mark.parametrize("feeds", [1, 2, 3])
def test_words_say_the_function(feeds: int) -> None:
    said = {
        "never": 0, "always": 2 ** 2**feeds - 1, "A or B, not both": 0b0110, "A and B alike": 0b1001,
        "neither A nor B": 0b0001, "not both A and B": 0b0111,
    }  # fmt: skip
    for function in range(2**2**feeds):
        words = function_words(function, feeds)
        if words in said:
            assert said[words] == function
            continue
        for setting in range(2**feeds):
            values = {name: bool(setting >> at & 1) for at, name in enumerate("ABC")}
            # the words are Python's own, and Python reads them
            assert eval(words, {}, values) == bool(function >> setting & 1)


def test_names_are_logic_s_own() -> None:
    on = [bin(setting).count("1") for setting in range(8)]
    meant: dict[str, Callable[[int], bool]] = {
        "AND": lambda n: n == 3, "OR": lambda n: n > 0, "NOR": lambda n: n == 0, "NAND": lambda n: n < 3,
        "odd parity": lambda n: n % 2 == 1, "even parity": lambda n: n % 2 == 0, "majority": lambda n: n > 1,
        "minority": lambda n: n < 2, "one of three": lambda n: n == 1, "two of three": lambda n: n == 2,
        "all alike": lambda n: n in (0, 3), "not all alike": lambda n: n in (1, 2),
    }  # fmt: skip
    assert set(NAMES[3].values()) == set(meant)
    for function, name in NAMES[3].items():
        assert [bool(function >> setting & 1) for setting in range(8)] == [meant[name](n) for n in on]
    assert [function_name(one, 2) for one in (8, 14, 6, 9, 1, 7, 2)] == [
        "AND", "OR", "XOR", "XNOR", "NOR", "NAND", "",
    ]  # fmt: skip
    assert settings_words(0b1001, 2) == ("none", "AB")
    assert lit_without_feeds(0b1001)
    assert not lit_without_feeds(0b1000)
