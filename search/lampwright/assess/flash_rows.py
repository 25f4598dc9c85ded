"""From the flash report of `rank` to rows of a result."""

from lampwright.assess.flashing import FlashOptions, judge_flashing
from lampwright.assess.phase_light import FlashReport, LampFlash, PhaseLight
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice, Problem
from lampwright.results.flashing import Flashing, FlashLamp, FlashLoad, FlashPhase, Inrush

OPTIONS = FlashOptions()


def flashing_rows(problem: Problem, netlist: Netlist, choice: Choice) -> Flashing:
    """How a fitted circuit flashes at 60, 90 and 120 a minute. Raises ShortedError."""
    report = judge_flashing(problem, netlist, choice, OPTIONS)
    return Flashing(
        OPTIONS.on_shares[0],
        report.keeps_up,
        tuple(_lamp(row) for row in report.lamps),
        _loads(report),
        tuple(Inrush(r.control, r.state, r.cold_amps, r.settled_amps) for r in report.inrush),
        report.unsolved,
        report.unsettled,
    )


def _lamp(row: LampFlash) -> FlashLamp:
    phases = _phase(row.closed), _phase(row.open)
    return FlashLamp(row.setting, row.lamp, row.word, row.flashes_per_minute, row.keeps_up, *phases)


def _phase(light: PhaseLight | None) -> FlashPhase | None:
    if light is None:
        return None
    return FlashPhase(light.seconds_to_band, light.share_in_band, light.final_flux)


def _loads(report: FlashReport) -> tuple[FlashLoad, ...]:
    return tuple(
        FlashLoad(r.setting, r.flasher, r.flashes_per_minute, r.first_amps, r.mean_amps, r.final_amps)
        for r in report.loads
    )
