"""What faults do to a design, operating point by operating point, as rows for the page."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from lampwright.assess.alterations import Circuitry, Fault
from lampwright.assess.trials import LIVE, Trial
from lampwright.network.circuit import GROUND, SUPPLY
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Problem
from lampwright.results.design import Design, StateRow
from lampwright.results.trials import FaultTrial, TrialState

SAME_VOLTS, SAME_AMPS = 1e-3, 1e-4
"""Below these a reading is the sound circuit's."""


@dataclass(frozen=True)
class _Frame:
    """The design's own order of things: per node its vertex, per part the sign of its direction."""

    refs: tuple[str, ...]
    nodes: tuple[str, ...]
    vertices: tuple[int, ...]
    signs: tuple[float, ...]


def trial_rows(
    problem: Problem, circuit: Circuitry, design: Design, tried: tuple[Trial, ...]
) -> tuple[FaultTrial, ...]:
    """Write the trials of a design; its nodes bear the names a search gives them."""
    frame = _frame(problem, circuit.netlist, design)
    return tuple(
        FaultTrial(
            kind=trial.fault.kind,
            fault=trial.fault.what,
            gone=tuple(frame.refs[part] for part in trial.fault.opened),
            loose=tuple(frame.refs[part] for part in trial.fault.lifted),
            nodes=_concerned(problem, circuit.netlist, trial.fault),
            states=tuple(_altered(trial, frame, design.states)),
        )
        for trial in tried
    )


def _frame(problem: Problem, netlist: Netlist, design: Design) -> _Frame:
    terminals = dict(zip(problem.layout.terminals, netlist.partition, strict=True))
    joints = {f"j{n + 1}": netlist.blocks + n for n in range(netlist.joints)}
    vertex = {**joints, **terminals}
    nodes = tuple(reading.node for reading in design.states[0].nodes)
    parts = [part for part in design.parts if part.kind != "wire"]
    tails = netlist.ends[:, 0].tolist()
    signs = [1.0 if vertex[part.from_node] == tail else -1.0 for part, tail in zip(parts, tails, strict=True)]
    return _Frame(
        tuple(part.ref for part in parts), nodes, tuple(vertex[node] for node in nodes), tuple(signs)
    )


def _concerned(problem: Problem, netlist: Netlist, fault: Fault) -> tuple[str, ...]:
    """The terminals whose fuse is blown, or that are bridged."""
    if fault.damage.rail_lost:
        return (SUPPLY,)
    if fault.damage.dead:
        control = next(one for one in problem.spec.controls if one.name == fault.damage.dead)
        fed = [end for at in control.positions for pair in at.joins if SUPPLY in pair for end in pair]
        return tuple(name for name in dict.fromkeys(fed) if name != SUPPLY)
    if fault.kind != "feeds bridged":
        return ()
    ((one, other),) = fault.damage.joins
    names = zip(problem.layout.terminals, netlist.partition, strict=True)
    return tuple(name for name, block in names if block in (one, other) and name != GROUND)


def _altered(trial: Trial, frame: _Frame, states: tuple[StateRow, ...]) -> Iterator[TrialState]:
    """The states in which anything reads otherwise than in the sound circuit."""
    loose = list(trial.fault.lifted)
    for at, sound in enumerate(states):
        if trial.shorted[at]:
            yield TrialState(
                state=sound.full_name,
                shorted=True,
                flux=(),
                levels=(),
                volts=(),
                live=(),
                amps=(),
                loose_volts=(),
            )
            continue
        volts = trial.potential[at][list(frame.vertices)]
        amps = trial.amps[at] * frame.signs
        across = trial.volts[at] * frame.signs
        live = [
            node
            for node, vertex in zip(frame.nodes, frame.vertices, strict=True)
            if trial.codes[at, vertex] == LIVE
        ]
        if _is_sound(volts, amps, across, sound) and live == [
            one.node for one in sound.nodes if one.held == "live"
        ]:
            continue
        yield TrialState(
            state=sound.full_name,
            shorted=False,
            flux=tuple(trial.flux[at].tolist()),
            levels=trial.levels[at],
            volts=tuple(volts.tolist()),
            live=tuple(live),
            amps=tuple(amps.tolist()),
            loose_volts=tuple(across[loose].tolist()),
        )


def _is_sound(volts: np.ndarray, amps: np.ndarray, across: np.ndarray, sound: StateRow) -> bool:
    """Whether everything reads as in the sound circuit."""
    near = [
        (volts, [one.volts for one in sound.nodes], SAME_VOLTS),
        (across, [one.volts for one in sound.parts], SAME_VOLTS),
        (amps, [one.amps for one in sound.parts], SAME_AMPS),
    ]
    return all(bool(np.all(np.abs(now - was) < most)) for now, was, most in near)
