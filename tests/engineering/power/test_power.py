"""Current, breakers, neutral, leakage and heat."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.power.circuits import (
    cabinets_per_circuit,
    cabinets_per_residual_device,
    continuous_limit_a,
    current_a,
    instantaneous_trip_a,
    leakage_limit_ma,
)
from commission_tui.engineering.power.conductors import (
    awg_area_mm2,
    awg_diameter_mm,
    conductor_resistance_ohm_km,
    voltage_drop_v,
    voltage_drops_along_v,
)
from commission_tui.engineering.power.heat import heat_btu_h, heat_tons
from commission_tui.engineering.power.phases import (
    line_currents_from_delta_a,
    neutral_current_a,
    phase_imbalance,
)


def test_current_of_one_and_three_phases() -> None:
    assert current_a(2300.0, 230.0) == 10.0
    assert current_a(2300.0, 230.0, 0.5) == 20.0
    assert current_a(6928.203230, 400.0, phases=3) == pytest.approx(10.0)
    assert current_a(0.0, 230.0) == 0.0


@pytest.mark.parametrize(
    ("named", "message"),
    [
        ({"power_w": -1.0}, "power_w is -1 W"),
        ({"voltage_v": 0.0}, "voltage_v is 0 V"),
        ({"power_factor": 0.0}, r"power_factor is 0, expected > 0 and <= 1"),
        ({"power_factor": 1.01}, r"power_factor is 1.01"),
        ({"phases": 2}, "phases is 2, expected 1 or 3"),
        ({"power_w": 1e308, "voltage_v": 1e-5}, "current would be inf A"),
    ],
)
def test_current_refuses(named: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        current_a(**{"power_w": 100.0, "voltage_v": 230.0, **named})


def test_continuous_limit() -> None:
    assert continuous_limit_a(20.0) == 16.0
    assert continuous_limit_a(20.0, 1.0) == 20.0
    for bad in ((0.0, 0.8), (20.0, 0.0), (20.0, 1.1)):
        with pytest.raises(ValueError, match="expected > 0"):
            continuous_limit_a(*bad)


def test_cabinets_per_circuit_counts_apparent_power() -> None:
    assert cabinets_per_circuit(16.0, 230.0, 170.0, 0.95) == 16
    assert cabinets_per_circuit(16.0, 230.0, 170.0) == 17
    assert cabinets_per_circuit(20.0, 208.0, 170.0, 0.95) == 18
    assert cabinets_per_circuit(20.0, 120.0, 170.0, 0.95) == 10
    assert cabinets_per_circuit(10.0, 230.0, 2000.0) == 0
    assert 0.8 * 10.0 * 110.0 / 35.2 < 25.0  # what the decimal arithmetic is for
    assert cabinets_per_circuit(10.0, 110.0, 35.2) == 25
    for name, bad in (
        ("breaker_a", 0.0), ("voltage_v", 2e6), ("cabinet_w", 0.0), ("power_factor", 0.001),
        ("factor", 1.5),
    ):  # fmt: skip
        arguments = {"breaker_a": 16.0, "voltage_v": 230.0, "cabinet_w": 170.0, name: bad}
        with pytest.raises(ValueError, match=f"{name} is"):
            cabinets_per_circuit(**arguments)


RANGES = [
    (cabinets_per_circuit, (16.0, 230.0, 170.0, 0.95, 0.8), 0, 0.0, 1e6, True),
    (cabinets_per_circuit, (16.0, 230.0, 170.0, 0.95, 0.8), 1, 0.0, 1e6, True),
    (cabinets_per_circuit, (16.0, 230.0, 170.0, 0.95, 0.8), 2, 0.001, 1e6, False),
    (cabinets_per_circuit, (16.0, 230.0, 170.0, 0.95, 0.8), 3, 0.01, 1.0, False),
    (cabinets_per_circuit, (16.0, 230.0, 170.0, 0.95, 0.8), 4, 0.0, 1.0, True),
    (cabinets_per_residual_device, (30.0, 0.75, 0.3), 0, 0.0, 1e6, True),
    (cabinets_per_residual_device, (30.0, 0.75, 0.3), 1, 0.0001, 1e6, False),
    (cabinets_per_residual_device, (30.0, 0.75, 0.3), 2, 0.0, 1.0, True),
]


@pytest.mark.parametrize(("call", "usual", "place", "low", "high", "low_open"), RANGES)
def test_counts_hold_their_documented_ranges(
    call: Any, usual: tuple[float, ...], place: int, low: float, high: float, low_open: bool
) -> None:
    def at(value: float) -> Any:
        return call(*usual[:place], value, *usual[place + 1 :])

    assert at(high) >= 0
    assert at(low + 1e-12 if low_open else low) >= 0
    for bad in (high * 1.01, low if low_open else low * 0.99, -1.0):
        with pytest.raises(ValueError, match="expected >"):
            at(bad)


def test_imbalance() -> None:
    assert phase_imbalance([10.0, 10.0, 10.0]) == 0.0
    assert phase_imbalance([30.0, 0.0, 0.0]) == pytest.approx(2.0)
    assert phase_imbalance([8.0, 10.0, 12.0]) == pytest.approx(0.2)
    assert phase_imbalance([7.0, 11.0, 12.0]) == pytest.approx(0.3)
    for bad, message in (
        ([0.0, 0.0, 0.0], "0 A on all phases"),
        ([1.0, 2.0], "expected 3"),
        ([1.0, 2.0, -1.0], r"amps3\[2\] is -1 A"),
    ):
        with pytest.raises(ValueError, match=message):
            phase_imbalance(bad)


@pytest.mark.parametrize("amps", [sys.float_info.max, 5e-324])
def test_imbalance_at_the_ends_of_the_range_of_numbers(amps: float) -> None:
    assert phase_imbalance([amps] * 3) == pytest.approx(0.0, abs=1e-12)
    assert phase_imbalance([amps, 0.0, 0.0]) == pytest.approx(2.0)


def test_neutral_current() -> None:
    assert neutral_current_a([10.0, 10.0, 10.0]) == pytest.approx(0.0, abs=1e-9)
    assert neutral_current_a([10.0, 0.0, 0.0]) == pytest.approx(10.0)
    assert neutral_current_a([10.0, 10.0, 10.0], 0.2) == pytest.approx(6.0)
    assert neutral_current_a([10.0, 0.0, 0.0], 0.75, true_rms=True) == pytest.approx(10.0)
    assert neutral_current_a([10.0] * 3, 0.75, true_rms=True) == pytest.approx(3 * 6.0)
    # L2 lagging back onto L1's place: the two lie in line.
    turned = neutral_current_a([10.0, 4.0, 0.0], lag_deg=(0.0, 60.0, 0.0))
    assert turned == pytest.approx(6.0)
    assert neutral_current_a([10.0, 0.0, 4.0], lag_deg=(0, 0, -60.0)) == pytest.approx(6.0)


@pytest.mark.parametrize(
    ("named", "message"),
    [
        ({"amps3": [1.0]}, "amps3 has 1"),
        ({"third_harmonic_share": 1.1}, "third_harmonic_share is 1.1"),
        ({"third_harmonic_share": -0.1}, "third_harmonic_share is -0.1"),
        ({"lag_deg": (0.0, 0.0)}, "lag_deg has 2"),
        ({"lag_deg": (0.0, 91.0, 0.0)}, r"lag_deg\[1\] is 91 degree"),
        ({"lag_deg": (-91.0, 0.0, 0.0)}, r"lag_deg\[0\] is -91 degree"),
        ({"amps3": [1e308, 0.0, 1.7e308], "third_harmonic_share": 1.0}, "neutral current would be"),
    ],
)
def test_neutral_current_refuses(named: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        neutral_current_a(**{"amps3": [1.0, 1.0, 1.0], **named})


def test_line_currents_of_circuits_between_lines() -> None:
    assert line_currents_from_delta_a([10.0, 0.0, 0.0]) == pytest.approx((10.0, 10.0, 0.0))
    assert line_currents_from_delta_a([0.0, 10.0, 0.0]) == pytest.approx((0.0, 10.0, 10.0))
    assert line_currents_from_delta_a([0.0, 0.0, 10.0]) == pytest.approx((10.0, 0.0, 10.0))
    assert line_currents_from_delta_a([3.0, 0.0, 5.0])[0] == pytest.approx(7.0)
    with pytest.raises(ValueError, match="line current would be inf"):
        line_currents_from_delta_a([1.7e308, 1.7e308, 1.7e308])


def test_leakage() -> None:
    assert leakage_limit_ma(100.0) == 30.0
    assert leakage_limit_ma(100.0, 0.5) == 50.0
    assert cabinets_per_residual_device(30.0, 0.75) == 12
    assert cabinets_per_residual_device(100.0, 0.75) == 40
    assert cabinets_per_residual_device(30.0, 3.0) == 3
    assert cabinets_per_residual_device(5.0, 3.5) == 0
    assert cabinets_per_residual_device(30.0, 3.0, 1.0) == 10
    for call, bad in (
        (leakage_limit_ma, (0.0, 0.3)), (leakage_limit_ma, (30.0, 0.0)),
        (leakage_limit_ma, (30.0, 1.1)), (cabinets_per_residual_device, (0.0, 1.0)),
        (cabinets_per_residual_device, (30.0, 0.0)), (cabinets_per_residual_device, (30.0, 1, 2)),
    ):  # fmt: skip
        with pytest.raises(ValueError, match="expected"):
            call(*bad)


def test_heat() -> None:
    assert heat_btu_h(0.0) == 0.0
    assert heat_btu_h(1055.05585262) == pytest.approx(3600.0)
    assert heat_tons(1055.05585262 * 10 / 3) == pytest.approx(1.0)
    with pytest.raises(ValueError, match="power_w is -1 W"):
        heat_btu_h(-1.0)
    with pytest.raises(ValueError, match="heat would be inf"):
        heat_btu_h(1e308)


def test_instantaneous_trip_by_type() -> None:
    assert instantaneous_trip_a(10.0, "B") == (30.0, 50.0)
    assert instantaneous_trip_a(10.0, "C") == (50.0, 100.0)
    assert instantaneous_trip_a(10.0, "D") == (100.0, 200.0)
    with pytest.raises(ValueError, match="curve is 'Z', expected B, C or D"):
        instantaneous_trip_a(10.0, "Z")
    with pytest.raises(ValueError, match="breaker_a is 0 A"):
        instantaneous_trip_a(0.0, "B")


def test_gauges() -> None:
    assert awg_diameter_mm(36) == pytest.approx(0.127)
    assert awg_diameter_mm(-3) == pytest.approx(0.127 * 92)
    assert awg_area_mm2(36) == pytest.approx(math.pi * 0.0635**2)
    for bad in (-4, 41, 12.5):
        with pytest.raises(ValueError, match="awg is"):
            awg_diameter_mm(bad)  # type: ignore[arg-type]


def test_resistance_by_class_size_and_temperature() -> None:
    cold: dict[str, Any] = {"temperature_c": 20.0}
    assert conductor_resistance_ohm_km(area_mm2=2.5, conductor_class=2, **cold) == 7.41
    assert conductor_resistance_ohm_km(area_mm2=2.5, **cold) == 7.98
    warm = conductor_resistance_ohm_km(area_mm2=2.5, conductor_class=2)
    assert warm == pytest.approx(7.41 * 304.5 / 254.5)
    odd = conductor_resistance_ohm_km(area_mm2=3.0, conductor_class=2, **cold)
    assert odd == pytest.approx(50 * 0.387 / 3.0)  # 50 mm² has the largest excess of class 2
    solid = conductor_resistance_ohm_km(awg=12, stranded=False, **cold)
    assert solid == pytest.approx(17.241 / awg_area_mm2(12))
    assert conductor_resistance_ohm_km(awg=12, **cold) == pytest.approx(1.02 * solid)


@pytest.mark.parametrize(
    ("named", "message"),
    [
        ({}, "exactly one of them"),
        ({"area_mm2": 2.5, "awg": 12}, "exactly one of them"),
        ({"area_mm2": 0.05}, "area_mm2 is 0.05 mm²"),
        ({"area_mm2": 1001.0}, "area_mm2 is 1001 mm²"),
        ({"awg": 12, "temperature_c": -51.0}, "temperature_c is -51 °C"),
        ({"awg": 12, "temperature_c": 201.0}, "temperature_c is 201 °C"),
        ({"area_mm2": 2.5, "conductor_class": 6}, "conductor_class is 6, expected 2 or 5"),
    ],
)
def test_resistance_refuses(named: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        conductor_resistance_ohm_km(**named)


def test_voltage_drop_counts_both_ways() -> None:
    cold: dict[str, Any] = {"area_mm2": 10.0, "temperature_c": 20.0, "conductor_class": 2}
    assert voltage_drop_v(10.0, 100.0, **cold) == pytest.approx(2 * 10 * 0.1 * 1.83)
    three = voltage_drop_v(10.0, 100.0, phases=3, **cold)
    assert three == pytest.approx(math.sqrt(3) * 10 * 0.1 * 1.83)
    lagging = voltage_drop_v(10.0, 100.0, power_factor=0.6, reactance_ohm_km=0.1, **cold)
    assert lagging == pytest.approx(2 * (1.83 * 0.6 + 0.1 * 0.8))
    usual = voltage_drop_v(10.0, 100.0, power_factor=0.6, **cold)
    assert usual == pytest.approx(2 * (1.83 * 0.6 + 0.08 * 0.8))
    assert voltage_drop_v(0.0, 100.0, **cold) == voltage_drop_v(10.0, 0.0, **cold) == 0.0


@pytest.mark.parametrize(
    ("named", "message"),
    [
        ({"current_a": -1.0}, "current_a is -1 A"),
        ({"length_m": -1.0}, "length_m is -1 m"),
        ({"phases": 2}, "phases is 2"),
        ({"power_factor": 0.0}, "power_factor is 0"),
        ({"power_factor": 1.5}, "power_factor is 1.5"),
        ({"reactance_ohm_km": -0.1}, "reactance_ohm_km is -0.1"),
        ({"reactance_ohm_km": 11.0}, "reactance_ohm_km is 11"),
        ({"current_a": 1e308, "length_m": 1e308}, "voltage drop would be inf"),
    ],
)
def test_voltage_drop_refuses(named: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        voltage_drop_v(**{"current_a": 1.0, "length_m": 1.0, "awg": 12, **named})


def test_drops_along_a_linked_circuit() -> None:
    drops = voltage_drops_along_v(
        [1.0, 2.0, 3.0], [100.0, 10.0, 10.0], area_mm2=[10.0, 1.5, 1.5], temperature_c=20.0,
        conductor_class=2,
    )  # fmt: skip
    first = 2 * 6.0 * 0.1 * 1.83
    second = first + 2 * 5.0 * 0.01 * 12.1
    assert drops == pytest.approx((first, second, second + 2 * 3.0 * 0.01 * 12.1))
    one = voltage_drops_along_v([4.0], [45.0], awg=12)
    assert one == pytest.approx((voltage_drop_v(4.0, 45.0, awg=12),))
    assert voltage_drops_along_v([4.0], [45.0], awg=[12]) == one


@pytest.mark.parametrize(
    ("named", "message"),
    [
        ({"lengths_m": [1.0]}, r"lengths_m has 1 value\(s\), expected 2"),
        ({"lengths_m": [1.0, -1.0]}, r"lengths_m\[1\] is -1 m"),
        ({"currents_a": [1.0, -1.0]}, r"currents_a\[1\] is -1 A|current_a is -1 A"),
        ({"currents_a": [2.0, -1.0]}, r"currents_a\[1\] is -1 A"),
        ({"awg": [12]}, r"awg has 1 value\(s\), expected 2"),
        ({"awg": None, "area_mm2": [1.5]}, r"area_mm2 has 1 value\(s\), expected 2"),
        ({"area_mm2": [1.5, 2.5]}, "exactly one of them"),
        ({"currents_a": [1e308, 1e308]}, "inf|too large"),
    ],
)
def test_drops_along_a_circuit_refuse(named: dict[str, Any], message: str) -> None:
    arguments = {"currents_a": [1.0, 1.0], "lengths_m": [1.0, 1.0], "awg": 12}
    with pytest.raises(ValueError, match=message):
        voltage_drops_along_v(**{**arguments, **named})


_PER_CIRCUIT = {"breaker_a": 16.0, "voltage_v": 230.0, "cabinet_w": 170.0}
_PER_DEVICE = {"rcd_ma": 30.0, "cabinet_ma": 0.75}


@pytest.mark.parametrize(
    ("name", "held", "refused"),
    [
        ("breaker_a", 1e6, 1.005e6), ("breaker_a", 1e-9, 0.0),
        ("voltage_v", 1e6, 1.005e6), ("voltage_v", 1e-9, 0.0),
        ("cabinet_w", 0.001, 0.000995), ("cabinet_w", 1e6, 1.005e6),
        ("power_factor", 0.01, 0.00995), ("power_factor", 1.0, 1.005),
        ("factor", 1e-9, 0.0), ("factor", 1.0, 1.005),
    ],
)  # fmt: skip
def test_the_ends_of_the_range_of_a_circuit(name: str, held: float, refused: float) -> None:
    figures = {**_PER_CIRCUIT, "power_factor": 0.95, "factor": 0.8}
    at_the_end = {**figures, name: held}
    watts = math.prod(
        Fraction(repr(at_the_end[k])) for k in ("breaker_a", "voltage_v", "power_factor", "factor")
    )
    assert cabinets_per_circuit(**at_the_end) == watts // Fraction(repr(at_the_end["cabinet_w"]))
    with pytest.raises(ValueError, match=f"{name} is"):
        cabinets_per_circuit(**{**figures, name: refused})


@pytest.mark.parametrize(
    ("name", "held", "refused"),
    [
        ("rcd_ma", 1e6, 1.005e6), ("rcd_ma", 1e-9, 0.0),
        ("cabinet_ma", 0.0001, 0.0000995), ("cabinet_ma", 1e6, 1.005e6),
        ("share", 1e-9, 0.0), ("share", 1.0, 1.005),
    ],
)  # fmt: skip
def test_the_ends_of_the_range_of_a_residual_device(name: str, held: float, refused: float) -> None:
    figures = {**_PER_DEVICE, "share": 0.3}
    end = {key: Fraction(repr(value)) for key, value in {**figures, name: held}.items()}
    expected = end["rcd_ma"] * end["share"] // end["cabinet_ma"]
    assert cabinets_per_residual_device(**{**figures, name: held}) == expected
    with pytest.raises(ValueError, match=f"{name} is"):
        cabinets_per_residual_device(**{**figures, name: refused})


def test_shares_end_at_nothing_and_at_all() -> None:
    calls: tuple[Callable[[float], float], ...] = (
        lambda share: continuous_limit_a(16.0, share),
        lambda share: leakage_limit_ma(16.0, share),
        lambda share: 256.0 / current_a(16.0, 1.0, share),
    )
    for call in calls:
        assert call(1.0) == 16.0
        assert call(0.001) == pytest.approx(0.016)
        for refused in (0.0, 1.005, -0.001):
            with pytest.raises(ValueError, match="expected > 0 and <= 1"):
                call(refused)


def test_what_is_taken_if_nothing_else_is_said() -> None:
    """A share of 0.8 of the breaker, 0.3 of the residual current, no phase shift, one phase."""
    assert cabinets_per_circuit(10.0, 100.0, 1.0) == 800
    assert cabinets_per_residual_device(1000.0, 1.0) == 300
    assert continuous_limit_a(100.0) == 80.0
    assert leakage_limit_ma(100.0) == 30.0
    assert current_a(230.0, 230.0) == 1.0
    assert heat_tons(0.0) == current_a(0.0, 230.0) == 0.0


@given(st.floats(), st.floats(), st.floats(), st.floats(), st.integers())
def test_only_value_error_ever_escapes(a: float, b: float, c: float, d: float, n: int) -> None:
    calls: list[Any] = [
        lambda: current_a(a, b, c, 3),
        lambda: continuous_limit_a(a, b),
        lambda: cabinets_per_circuit(a, b, c, d),
        lambda: phase_imbalance([a, b, c]),
        lambda: neutral_current_a([a, b, c], d),
        lambda: line_currents_from_delta_a([a, b, c])[0],
        lambda: leakage_limit_ma(a, b),
        lambda: cabinets_per_residual_device(a, b, c),
        lambda: heat_tons(a),
        lambda: instantaneous_trip_a(a, "C")[1],
        lambda: awg_area_mm2(n),
        lambda: conductor_resistance_ohm_km(area_mm2=a, temperature_c=b),
        lambda: voltage_drop_v(a, b, area_mm2=c, power_factor=d, phases=3),
        lambda: voltage_drops_along_v([a, b], [c, d], awg=10)[-1],
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert math.isfinite(result)
