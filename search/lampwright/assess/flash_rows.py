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
        on_share=OPTIONS.on_shares[0],
        keeps_up=report.keeps_up,
        lamps=tuple(_lamp(row) for row in report.lamps),
        loads=_loads(report),
        inrush=tuple(
            Inrush(control=r.control, state=r.state, cold_amps=r.cold_amps, settled_amps=r.settled_amps)
            for r in report.inrush
        ),
        unsolved=report.unsolved,
        unsettled=report.unsettled,
    )


def _lamp(row: LampFlash) -> FlashLamp:
    phases = _phase(row.closed), _phase(row.open)
    return FlashLamp(row.setting, row.lamp, row.word, row.flashes_per_minute, row.keeps_up, *phases)


def _phase(light: PhaseLight | None) -> FlashPhase | None:
    if light is None:
        return None
    return FlashPhase(
        seconds_to_band=light.seconds_to_band, share_in_band=light.share_in_band, final_flux=light.final_flux
    )


def _loads(report: FlashReport) -> tuple[FlashLoad, ...]:
    return tuple(
        FlashLoad(
            setting=r.setting,
            flasher=r.flasher,
            flashes_per_minute=r.flashes_per_minute,
            first_amps=r.first_amps,
            mean_amps=r.mean_amps,
            final_amps=r.final_amps,
        )
        for r in report.loads
    )
