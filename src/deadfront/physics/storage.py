"""How long stored energy lasts, how large a battery must be, and what shifting energy in time is worth."""

from __future__ import annotations

from collections.abc import Iterable


def runtime_h(
    energy_kwh: float, usable: float, load_kw: float, *, efficiency: float = 1.0, idle_kw: float = 0.0
) -> float:
    """Hours that a battery carries a steady load.

    t = E u / (P / eta + P_idle). The load must also stay within the inverter's output, and each leg within its own.

    Args:
        energy_kwh: Rated energy, as the state of health leaves it [kWh].
        usable: Share between the state of charge at the start and the reserve, 0 to 1.
        load_kw: Steady load [kW].
        efficiency: Of the inverter, above 0 to 1.
        idle_kw: What inverter and controls draw themselves [kW].
    Returns:
        Hours [h].
    Raises:
        ValueError: an efficiency outside its range, or nothing that draws on it.
    Verified:
        tests/published/circuits_and_sources.json: BAT-04 (constructed), 14.47 h.
    Example:
        >>> round(runtime_h(13.5, 0.9, 0.75, efficiency=0.95, idle_kw=0.05), 2)
        14.47
    """
    _share(efficiency)
    drawn_kw = load_kw / efficiency + idle_kw
    if drawn_kw <= 0:
        raise ValueError(drawn_kw)
    return energy_kwh * usable / drawn_kw


def state_of_charge(
    start_kwh: float, most_kwh: float, reserve_kwh: float, loads_kw: Iterable[float], suns_kw: Iterable[float],
    step_h: float, *, efficiency: float = 1.0, charge_efficiency: float = 1.0, charge_kw: float = float("inf"),
    idle_kw: float = 0.0,
) -> list[float]:  # fmt: skip
    """Energy left after each step of interval data, with sun: stops at the reserve, never above full [kWh].

    What the sun gives beyond the load charges, up to the charging power; what the load takes beyond the sun is drawn.

    Args:
        start_kwh: At the start [kWh].
        most_kwh: Full [kWh].
        reserve_kwh: Never drawn [kWh].
        loads_kw, suns_kw: Mean of each step [kW].
        step_h: Length of a step [h].
        charge_efficiency: From sun into the battery, above 0 to 1.
        charge_kw: Most that it takes [kW].
    Returns:
        One figure for each step done; it ends with the first step that reaches the reserve.
    Source:
        Energy balance step by step.
    """
    _share(efficiency)
    _share(charge_efficiency)
    left, found = start_kwh, []
    for load_kw, sun_kw in zip(loads_kw, suns_kw, strict=True):
        net_kw = sun_kw - load_kw
        change_kw = min(net_kw * charge_efficiency, charge_kw) if net_kw >= 0 else net_kw / efficiency
        left = min(left + (change_kw - idle_kw) * step_h, most_kwh)
        found.append(max(left, reserve_kwh))
        if left <= reserve_kwh:
            break
    return found


def lead_acid_runtime_h(capacity_ah: float, rated_h: float, current_a: float, exponent: float) -> float:
    """Hours that a lead-acid battery gives a current, by Peukert: t = H (C / (I H))^k.

    Args:
        capacity_ah: Rated over `rated_h` hours [Ah].
        exponent: k, 1.1 to 1.4 for most.
    Example:
        >>> round(lead_acid_runtime_h(100, 20, 20, 1.2), 2)
        3.79
    """
    return float(rated_h * (capacity_ah / (current_a * rated_h)) ** exponent)


def battery_energy_wh(daily_wh: float, days: float, depth: float, *, cold_factor: float = 1.0) -> float:
    """Rated energy for so many days without charge [Wh]: daily energy times days times cold, over depth of discharge.

    Verified:
        tests/published/circuits_and_sources.json: BAT-01, 6500 Wh.
    Example:
        >>> battery_energy_wh(1000, 2.5, 0.5, cold_factor=1.3)
        6500.0
    """
    _share(depth)
    return daily_wh * days * cold_factor / depth


def capacity_ah(energy_wh: float, volts: float) -> float:
    """Ampere-hours of an energy at a voltage [Ah]."""
    return energy_wh / volts


def shift_saving(delivered_kwh: float, price_peak: float, price_charge: float, round_trip: float) -> float:
    """What shifting energy saves, for energy delivered: E (p_peak - p_charge / eta).

    The spread times the efficiency is another figure: it would be right for the energy charged, without losses.

    Verified:
        tests/published/circuits_and_sources.json: TSH-02 (constructed), 2.235.
    Example:
        >>> round(shift_saving(10, 0.40, 0.15, 0.85), 3)
        2.235
    """
    _share(round_trip)
    return delivered_kwh * (price_peak - price_charge / round_trip)


def break_even_round_trip(price_peak: float, price_charge: float) -> float:
    """Round-trip efficiency below which shifting loses money."""
    return price_charge / price_peak


def _share(value: float) -> None:
    if not 0 < value <= 1:
        raise ValueError(value)
