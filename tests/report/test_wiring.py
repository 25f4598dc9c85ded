"""The wiring list as text and CSV, from a list written by hand.

CSV is read back by the standard library's reader (RFC 4180).
"""

import csv
from io import StringIO

import pytest
from msgspec.structs import replace

from lampwright.report.csv_tables import wiring_csv
from lampwright.report.topics.wiring import wiring_text
from lampwright.results.wiring import (
    CouplingRow,
    FeedFuseRow,
    LampWiresRow,
    SpliceRow,
    TerminalRow,
    WireRow,
    WiringList,
)

WIRE = WireRow(
    number=1,
    net="54",
    from_node="54",
    to_node="stop",
    zone="vehicle-trailer",
    pin="6",
    metres=4.0,
    area_mm2=0.75,
    awg=18,
    ohms=0.1202,
    amps=2.0,
    state="s",
    drop_volts=0.2407,
    fuse_amps=3.0,
    carries_amps=7.0,
    colour="",
)
RETURN = replace(WIRE, number=2, net="31", from_node="31", pin="3")
WIRING = WiringList(
    wires=(WIRE, RETURN),
    lamps=(LampWiresRow(lamp="stop", wires=(1, 2), drop_volts=0.4814, state="brake on", within=True),),
    fuses=(
        FeedFuseRow(feed="54", amps=2.0, state="brake on", fuse_amps=3.0, colour="violet", carries_amps=7.0),
    ),
    splices=(SpliceRow(at="stop", zone="trailer", wires=(1,)),),
    couplings=(CouplingRow(zones="vehicle-trailer", wires=(1, 2)),),
    terminals=(TerminalRow(terminal="54", meaning="stop lamps"),),
    metres=8.0,
    most_drop_volts=0.5,
    celsius=60.0,
    meets=True,
    margin_stops=1.25,
    warnings=(),
    notes=("A note.",),
)
TEXT = """\
── Wiring ──────────────────────────────────────────────────────────────────────
2 wires, 8 m in all, 1 splice, 2 coupling contacts, 1 fuse.
With its wires in place the circuit meets the spec: 1.25 stops of margin.

wire  from  to    zone             pin     A  m   mm²  AWG  V lost  colour
──────────────────────────────────────────────────────────────────────────
   1  54    stop  vehicle-trailer    6  2.00  4  0.75   18    0.24
   2  31    stop  vehicle-trailer    3  2.00  4  0.75   18    0.24

Lost in wires  stop 0.48 V (wires 1, 2); at most 0.5 V wanted
Fuses          54: 3 A violet, for 2.00 A; its wires carry 7 A
Splices        at stop, trailer: wire 1
Couplings      vehicle-trailer: wires 1, 2
Terminals      54: stop lamps (DIN 72552)

  - A note."""


def test_text() -> None:
    assert wiring_text(WIRING, 80) == TEXT


@pytest.mark.parametrize("width", [80, 100])
def test_no_line_is_wider(width: int) -> None:
    long = replace(
        WIRE, from_node="a_name_as_long_as_names_may_be_x", to_node="another_name_as_long_as_it_may"
    )
    text = wiring_text(replace(WIRING, wires=(long, RETURN)), width)
    assert max(len(line) for line in text.splitlines()) <= width


def test_missed_drops_and_warnings_are_marked() -> None:
    missed = replace(WIRING.lamps[0], within=False, drop_volts=0.7)
    none = replace(WIRING.fuses[0], fuse_amps=None, colour="")
    text = wiring_text(
        replace(WIRING, lamps=(missed,), fuses=(none,), meets=False, margin_stops=-0.3, warnings=("Look.",)),
        80,
    )
    assert "! Look." in text
    assert "!stop 0.70 V (wires 1, 2)" in text
    assert "54: none large enough, for 2.00 A" in text
    assert "does not meet the spec: -0.30 stops" in text


def test_without_wires_only_the_warning_stands() -> None:
    bare = WiringList(
        wires=(),
        lamps=(),
        fuses=(),
        splices=(),
        couplings=(),
        terminals=(),
        metres=0.0,
        most_drop_volts=0.5,
        celsius=60.0,
        meets=None,
        margin_stops=None,
        warnings=("No wires are listed: too many.",),
        notes=(),
    )
    assert wiring_text(bare, 80).splitlines()[2:] == ["! No wires are listed: too many."]


def test_csv_by_a_plain_reader() -> None:
    rows = list(csv.DictReader(StringIO(wiring_csv([WIRING, replace(WIRING, wires=(WIRE,))]))))
    assert [(row["rank"], row["wire"], row["net"]) for row in rows] == [
        ("1", "1", "54"),
        ("1", "2", "31"),
        ("2", "1", "54"),
    ]
    assert rows[0] == {
        "rank": "1",
        "wire": "1",
        "net": "54",
        "from": "54",
        "to": "stop",
        "zone": "vehicle-trailer",
        "pin": "6",
        "metres": "4.0",
        "mm2": "0.75",
        "awg": "18",
        "ohms": "0.1202",
        "amps": "2.0",
        "drop_volts": "0.241",
        "fuse_amps": "3.0",
        "carries_amps": "7.0",
        "colour": "",
    }
