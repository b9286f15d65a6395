"""Device types: the radio's sensitivity for each air rate; numbers that are not numbers."""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.engineering.link_budget import sensitivity_dbm
from audit.errors import InputProblems
from audit.model.device import DeviceType
from audit.reading.device_types import read_device_types
from audit.reading.inputs import Inputs
from tests.refusing import assert_refused
from tests.small_site import ACCESS_CODE, RADIO, SETTINGS, small_site

COMMON = """\
asfound: device-settings/1
settings:
  - {name: rate, kind: option, role: air_rate, unit: kbit/s, options: ["4.8", "9.6", "50"]}
"""
PROBE = """\
asfound: device-type/1
name: probe
include: [common.yaml]
sensitivity_dbm: {4.8: -118, 9.6: -115.5, 50: -104}
"""


def read(folder: Path, probe: str) -> DeviceType:
    """Return a device type as a plan would read it."""
    (folder / "common.yaml").write_text(COMMON, encoding="utf-8")
    (folder / "probe.yaml").write_text(probe, encoding="utf-8")
    types = read_device_types(folder / "plan.yaml", [("probe.yaml", 3)], "plan.yaml", Inputs())
    return types["probe"]


def test_sensitivity_by_air_rate(tmp_path: Path) -> None:
    """Rates are written like the setting's options, with or without quotes."""
    kind = read(tmp_path, PROBE)
    assert kind.sensitivity_dbm == {"4.8": -118, "9.6": -115.5, "50": -104}
    assert sensitivity_dbm(kind.sensitivity_dbm, "9.6") == -115.5


def test_without_sensitivity(tmp_path: Path) -> None:
    """A device type need not give any."""
    assert read(tmp_path, PROBE.partition("sensitivity_dbm")[0]).sensitivity_dbm == {}


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("9.6: -115.5", "96: -115.5", "the air rate '96', which 'rate' does not have -- nearest: 9.6"),
        ("50: -104", "50: 104", "104 (in sensitivity_dbm > 50) is out of bounds"),
        ("50: -104", "50: low", "a number was expected"),
        ("50: -104", "50: -104, 50: -103", "'50' is given twice"),
    ],
)
def test_slips_in_the_sensitivity(tmp_path: Path, old: str, new: str, says: str) -> None:
    """Each is reported with the file, in one message."""
    with pytest.raises(InputProblems) as found:
        read(tmp_path, PROBE.replace(old, new))
    (problem,) = found.value.problems
    assert says in str(problem)
    assert problem.file.endswith("probe.yaml")


@pytest.mark.parametrize("number", [".nan", ".inf", "-.inf", "1e999"])
@pytest.mark.parametrize("key", ["low", "high", "step", "default"])
def test_a_number_is_finite(tmp_path: Path, key: str, number: str) -> None:
    """No device has such a limit, and comparing with it would show nothing."""
    setting = f"settings:\n  - {{name: level, kind: integer, {key}: {number}}}\n"

    with pytest.raises(InputProblems) as found:
        read(tmp_path, PROBE + setting)

    problems = found.value.problems
    assert any("a number was expected" in problem.message for problem in problems)
    assert {(problem.line, problem.column) for problem in problems} == {(6, str(36 + len(key)))}


INPUTS = """\
sensors: {suction: {low: -100, high: 600}, discharge: {low: 0, high: 1600}}
settings:
  - {name: s_high, kind: decimal, role: range_high, input: suction, step: 1}
  - {name: s_alarm, kind: decimal, role: alarm_high, input: suction, step: 1}
  - {name: d_high, kind: decimal, role: range_high, input: discharge, step: 1}
  - {name: warm, kind: decimal, role: alarm_high, input: temperature, step: 1}
  - {name: starts, kind: integer, input: pulses}
"""


def test_inputs_of_other_names_need_no_sensor(tmp_path: Path) -> None:
    """Nor do settings that belong to no input, such as those of the radio."""
    assert set(read(tmp_path, PROBE + INPUTS).sensors) == {"suction", "discharge"}


def test_the_ends_of_a_sensor_that_changed_places(tmp_path: Path) -> None:
    """No range would lie within them."""
    with pytest.raises(InputProblems, match=r"probe\.yaml:5:\d+: .*low 600.* is above high -100"):
        read(tmp_path, PROBE + INPUTS.replace("low: -100, high: 600", "low: 600, high: -100"))


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("alarm_high, input: suction", "alarm_high, input: suctn",
         "probe.yaml:8:61: s_alarm: `sensors` of 'probe' has no input 'suctn'.*nearest: suction"),
        ("alarm_high, input: suction", "alarm_high", "probe.yaml:8:5: s_alarm: .* has no input 'main'"),
        ("discharge, step: 1}", "discharge, step: 1}\n"
         "  - {name: d_low, kind: decimal, role: range_low, input: dicsharge, step: 1}\n"
         "  - {name: d_alarm, kind: decimal, role: alarm_high, input: dicsharge, step: 1}",
         "probe.yaml:10:58: the input 'dicsharge' of d_low, d_alarm is probably 'discharge'"),
        ("{suction:", "{suctn:", "probe.yaml:5:11: no setting has the input 'suctn'.*nearest: suction"),
    ],
    ids=["of a setting", "left out", "of several settings", "of a sensor"],
)  # fmt: skip
def test_an_input_that_is_spelt_in_two_ways(tmp_path: Path, old: str, new: str, says: str) -> None:
    """Its settings would be compared with nothing; it is reported once, where it is written."""
    with pytest.raises(InputProblems, match=f"(?s){says}") as found:
        read(tmp_path, PROBE + INPUTS.replace(old, new))
    assert len(found.value.problems) == 1


def test_a_misspelt_input_is_told_after_one_of_another_name(tmp_path: Path) -> None:
    """The temperature needs no sensor, and does not end the search."""
    slip = "  - {name: cold, kind: decimal, role: alarm_low, input: suctn, step: 1}\n"
    with pytest.raises(InputProblems) as found:
        read(tmp_path, PROBE + INPUTS + slip)

    assert [problem.message.partition(":")[0] for problem in found.value.problems] == ["cold"]


def test_an_input_that_is_spelt_in_two_ways_without_sensors(tmp_path: Path) -> None:
    """The name with more settings counts; inputs told apart by a number are two inputs."""
    bare = INPUTS.partition("\n")[2]
    with pytest.raises(InputProblems, match="'suctoin' of s_alarm is probably 'suction'") as found:
        read(tmp_path, PROBE + bare.replace("alarm_high, input: suction", "alarm_high, input: suctoin"))
    assert len(found.value.problems) == 1

    numbered = bare.replace("suction", "in_1").replace("discharge", "in_2").replace("temperature", "in_11")
    assert read(tmp_path, PROBE + numbered).setting("warm")


def test_an_access_code_is_one_in_every_device_type(tmp_path: Path) -> None:
    """Values of one name are in one column, which is hidden as a whole: a word in it was no option."""
    lock = {"name": "access_code", "kind": "option", "options": ["set", "not set"]}
    site = small_site(tmp_path, settings=[*SETTINGS, ACCESS_CODE], gateway_settings=[*RADIO, lock])

    assert_refused(site, at="gateway.yaml", mend="give it another name in one of them",
                   says="access_code is no access code here, but one in the device type 'node'")  # fmt: skip
