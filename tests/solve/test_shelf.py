"""What lamps' names mean: other volts behind an @, the user's own types, spelling.

No outside source: the names are ours; what a lamp is comes from the catalogue's own tests.
"""

import numpy as np
import pytest

from lampwright.parts.catalogue import lamp_type, lamp_types
from lampwright.parts.filament import amps_of
from lampwright.parts.photometry import tungsten_efficacy
from lampwright.parts.tables import UnknownPart, constant
from lampwright.solve.shelf import Shelf, own_faults, own_type, same_type
from lampwright.spec.model import OwnFilament, OwnLamp

BULB = OwnLamp("bulb", (OwnFilament(6.0, 1.8, lumens=13.0),), filling="gas")


def test_a_plain_name_is_the_systems_lamp() -> None:
    for system in (6, 12, 24):
        assert Shelf(system).lamp("P21W") == lamp_type("P21W", system)


def test_volts_behind_a_name_are_that_systems_lamp() -> None:
    for name in ("P21W@12", "p21w@12", "P21W@12.0", "P21W@12 V", "P21W@12V"):
        kind = Shelf(24).lamp(name)
        assert kind.name == name, "as the user wrote it"
        assert kind.filaments == lamp_type("P21W", 12).filaments
        assert same_type(kind, Shelf(12).lamp("P21W"))
        assert not same_type(kind, Shelf(24).lamp("P21W"))


@pytest.mark.parametrize(
    ("system", "name", "said"),
    [
        (
            4.5,
            "P21W",
            '"P21W" is no lamp type for 4.5 V (made for 6 V, 12 V and 24 V);'
            ' write "P21W@6", "P21W@12" or "P21W@24"',
        ),
        (12, "P21W@7", '"P21W@7" is no lamp type for 7 V (made for 6 V, 12 V and 24 V)'),
        (12, "P21W@", '"P21W@" is no lamp type (made for 6 V, 12 V and 24 V); write "P21W@6", "P21W" or'),
        (12, "P21W@x", '"P21W@x" is no lamp type (made for 6 V, 12 V and 24 V)'),
        (12, "bulb@12", '"bulb@12" is no lamp type for 12 V (made for 6 V); write "bulb"'),
        (12, "W2.3@12", '"W2.3@12" is no lamp type for 12 V; nearest: W2.3W'),
    ],
)
def test_a_wrong_name_is_told_what_would_do(system: float, name: str, said: str) -> None:
    with pytest.raises(UnknownPart) as caught:
        Shelf(system, (BULB,)).lamp(name)
    assert str(caught.value).startswith(said)


def test_a_name_at_any_volts() -> None:
    shelf = Shelf(0.0, (BULB,))
    assert [one.system for one in shelf.at_any_volts("p21w")] == [6, 12, 24]
    assert [one.system for one in shelf.at_any_volts("P21W@24")] == [24]
    assert [one.name for one in shelf.at_any_volts("bulb")] == ["bulb"]
    assert shelf.at_any_volts("P21W@7") == shelf.at_any_volts("P22W") == ()
    assert str(shelf.unknown("P21W@7")).endswith('write "P21W@6", "P21W@12" or "P21W@24"')
    assert str(shelf.unknown("P22W")).startswith('"P22W" is no lamp type; nearest: ')


def test_every_lamp_of_a_shelf_is_found_by_its_name() -> None:
    for system in (4.5, 12, 24):
        shelf = Shelf(system, (BULB,))
        lamps = shelf.lamps()
        assert [one.model for one in lamps] == [*(one.model for one in lamp_types()), "bulb"]
        assert all(same_type(shelf.lamp(one.name), one) for one in lamps)
        assert len({one.name for one in lamps}) == len(lamps)


def test_a_lamp_of_ones_own_has_its_rated_point() -> None:
    kind = Shelf(12, (BULB,)).lamp("Bulb")
    (filament,) = kind.filaments
    assert (kind.system, kind.confidence, kind.fillings) == (6.0, "medium", ("gas",))
    assert float(amps_of(filament, 6.0)) == pytest.approx(0.3, rel=1e-9)
    efficacy = (1.0 - filament.conducted_share) * float(tungsten_efficacy(filament.rated_kelvin))
    assert efficacy == pytest.approx(13.0 / 1.8, rel=1e-9)


def test_lumens_and_kelvin_say_the_same() -> None:
    by_lumens = own_type(BULB, None).filaments[0]
    again = OwnLamp("b", (OwnFilament(6.0, 1.8, kelvin=by_lumens.rated_kelvin),), filling="gas")
    assert own_type(again, None).filaments[0].lumens == pytest.approx(13.0, rel=1e-9)


def test_a_lamp_without_light_is_as_hot_as_most() -> None:
    """The usual temperatures lie within the middle half of the catalogue's, as their row says."""
    for filling in ("gas", "vacuum"):
        found = [f.rated_kelvin for one in lamp_types() if one.fillings[0] == filling for f in one.filaments]
        low, high = np.percentile(found, [25, 75])
        assert low < constant(f"usual_kelvin_{filling}") < high
    bare = own_type(OwnLamp("bare", (OwnFilament(6.0, 1.8),)), "vacuum")
    assert bare.filaments[0].rated_kelvin == constant("usual_kelvin_vacuum")
    assert bare.confidence == "low"


def test_what_it_holds_is_both_where_it_is_not_said() -> None:
    small, large = OwnFilament(6.0, 1.8), OwnFilament(12.0, 21.0)
    assert own_type(OwnLamp("s", (small,)), None).fillings == ("vacuum", "gas")
    assert own_type(OwnLamp("l", (large,)), None).fillings == ("gas", "vacuum")


def test_a_measured_share_is_kept() -> None:
    own = OwnLamp("b", (OwnFilament(6.0, 1.8),), filling="gas", conducted=0.31)
    assert own_type(own, None).filaments[0].conducted_share == 0.31


def test_two_filaments() -> None:
    own = OwnLamp("twin", (OwnFilament(6.0, 20.0), OwnFilament(6.0, 5.0)), shared_contact=False)
    kind = own_type(own, None)
    assert [one.place for one in kind.filaments] == ["major", "minor"]
    assert not kind.shared_contact


def test_what_cannot_be_of_ones_own() -> None:
    assert not list(own_faults(BULB))
    ((said, _),) = own_faults(OwnLamp("p21w", (OwnFilament(12.0, 21.0),)))
    assert said == '"p21w" is the name of a lamp of the catalogue'
    ((said, _),) = own_faults(OwnLamp("b", (OwnFilament(6.0, 1.8, lumens=200.0),)))
    assert said.startswith("no filament gives this light (")
