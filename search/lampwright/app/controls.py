"""The controls of a spec, as what `report` needs to know of them."""

from lampwright.report.explain.controls import ControlFeed, ControlKind, Controls, Situation
from lampwright.results.explanation import StateName
from lampwright.spec.model import GROUND, SUPPLY, Spec, filament_names
from lampwright.spec.states import every_moment, expand_states


def controls_of(spec: Spec) -> Controls:
    """Tell what a report must know of the controls of a spec."""
    joins: dict[tuple[str, str, ControlKind], dict[str, None]] = {}
    for control in spec.controls:
        for pair in (pair for position in control.positions for pair in position.joins):
            for one, other in (pair, pair[::-1]):
                if one not in (SUPPLY, GROUND):
                    joins.setdefault((one, control.name, control.kind), {})[other] = None
    positions = {one.name: tuple((at.name, at.joins) for at in one.positions) for one in spec.controls}
    feeds = tuple(
        ControlFeed(*fed, joins=tuple(others), positions=positions[fed[1]]) for fed, others in joins.items()
    )
    filaments = filament_names(spec)
    situations = tuple(
        Situation(
            name=StateName(state=state.name, phase=state.phase),
            setting=state.setting,
            phases=moment.phases,
            closed=tuple((one.control, one.a, one.b) for one in state.contacts),
            damage=str(state.failures),
            failed=tuple(filaments[at] for at in state.opened),
            blown=state.failures.fuse_blown,
            hung=tuple(tuple(filaments[at] for at in group) for group in state.hung),
        )
        for state, moment in zip(expand_states(spec), every_moment(spec), strict=True)
    )
    return Controls(feeds, situations)
