"""How a window would have to be turned, referenced and scaled to show what a channel showed."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator, Sequence

from deadfront.metering.rules.step_signal import SIGMAS, Stepped, phasor
from deadfront.metering.rules.windows import Window
from deadfront.results.proof import Cause, ProofChannel, ProofPlan, ScaleFault

WIDE = {False: math.radians(30), True: math.radians(20)}
"""How far the angle of a reading may be off what its wiring gives, in split phase and in a wye."""


def causes_of(
    plan: ProofPlan, channel: ProofChannel, window: Window, steps: Sequence[Stepped], seen: str = ""
) -> Iterator[Cause]:
    """Every way to turn, reference and scale a window that fits; nothing where the steps do not agree on one.

    Args:
        seen: Leg of its voltage, where that was measured.
    """
    gain = gain_of(channel, window, steps)
    if gain is None:
        return
    wanted = channel.voltage_leg or (channel.conductor.leg if channel.conductor else "")
    if window.kind in ("turned", "same way") and not _amperes_fit(channel, window, abs(gain), steps):
        return
    for leg in (seen,) if seen else plan.legs:
        for turned in (False, True):
            angle = (-1 if turned else 1) * _software(channel)
            expected = angle * phasor(leg, wye=bool(plan.wye)) / phasor(window.base, wye=bool(plan.wye))
            if abs(cmath.phase(gain / expected)) > WIDE[bool(plan.wye)]:
                continue
            scale, faults = scaled(channel, abs(gain), window, steps)
            moved = not as_planned(channel, window)
            at_home = leg == (wanted or window.base) or (moved and window.kind == "conductor" and leg == window.base)
            count = moved + turned + (not at_home) + bool(faults)
            yield Cause(window.kind, window.conductors, turned, leg, scale, faults, count)


def gain_of(channel: ProofChannel, window: Window, steps: Sequence[Stepped]) -> complex | None:
    """What all steps agree the channel shows of a window's power; None where they do not agree."""
    pairs = [(power, step.shown[channel.id], step) for power, step in zip(window.signal, steps, strict=True) if power]
    weight = sum(abs(power) ** 2 for power, _, _ in pairs)
    if not weight:
        return None
    gain = sum(power.conjugate() * shown for power, shown, _ in pairs) / weight
    for power, shown, step in pairs:
        if abs(shown - gain * power) > SIGMAS * step.noise[channel.id] + 2 * step.share * abs(gain * power):
            return None
    return gain or None


def _software(channel: ProofChannel) -> int:
    """-1 where the meter shows what a source gives as positive."""
    return -1 if channel.production == "positive" else 1


def as_planned(channel: ProofChannel, window: Window) -> bool:
    """Whether what is in the window is what the plan has there; any hot where the plan names none."""
    if channel.conductor is not None and channel.conductor != window.conductors[0]:
        return False
    return window.kind == ("turned" if channel.window == "two hots, one turned" else "conductor")  # words-ok


def scaled(
    channel: ProofChannel, gain: float, window: Window, steps: Sequence[Stepped]
) -> tuple[float, tuple[ScaleFault, ...]]:
    """The scale against what the channel should show, and what may be behind one that is not as planned."""
    scale = gain / times_of(channel, window)
    width = _width(channel, gain, window, steps)
    told = shown_amperes(channel, window, steps)
    if for_both(channel, window):
        return scale, _by_amperes(gain, _behind_alone(scale, width), told, width)
    if within(scale, 1, width):
        return scale, ()
    behind: list[ScaleFault] = ["ratio"]
    if channel.doubled and within(scale, 0.5, width):
        behind.append("not doubled")
    if not channel.doubled and within(scale, 2, width):
        behind += ["doubled", "amperes doubled"]
    return scale, _by_amperes(scale, behind, told, width)


def for_both(channel: ProofChannel, window: Window) -> bool:
    """Whether it sits alone on one hot of its own load, and by the plan nothing makes that the whole load."""
    own = channel.conductor
    here = window.kind == "conductor" and own is not None and window.conductors[0].of == own.of
    return channel.alone and not channel.doubled and here


def times_of(channel: ProofChannel, window: Window) -> int:
    """What it should show for each watt in its window: two where it stands for both hots."""
    return 2 if channel.doubled or for_both(channel, window) else 1


def _behind_alone(scale: float, width: float) -> list[ScaleFault]:
    """What is behind the scale of one that stands for both hots with nothing doubled by the plan."""
    if within(scale, 1, width):
        return ["doubled", "ratio", "amperes doubled"]
    return ["not doubled"] if within(scale, 0.5, width) else ["not doubled", "ratio"]


def _by_amperes(scale: float, behind: list[ScaleFault], told: Sequence[float], width: float) -> tuple[ScaleFault, ...]:
    """Shown amperes against those of a clamp meter tell a wrong ratio from doubled watts."""
    if not told:
        return tuple(behind)
    amperes = sum(told) / len(told)
    only_watts: tuple[ScaleFault, ...] = ("doubled", "not doubled")
    if within(amperes, 1, width):
        return tuple(each for each in behind if each in only_watts)
    if within(amperes / scale, 1, width):
        return tuple(each for each in behind if each not in only_watts)
    return ("ratio",)


def shown_amperes(channel: ProofChannel, window: Window, steps: Sequence[Stepped]) -> list[float]:
    """Shown amperes over those of a clamp meter, in every step of what is in the window where both were read."""
    return [step.amperes[channel.id] for power, step in zip(window.signal, steps, strict=True)
            if power and channel.id in step.amperes]  # fmt: skip


def _amperes_fit(channel: ProofChannel, window: Window, gain: float, steps: Sequence[Stepped]) -> bool:
    """Whether amperes shown, where they were read, are those of both hots in one window."""
    told = shown_amperes(channel, window, steps)
    hots = 2 if window.kind == "turned" else 0
    scale = gain / (2 if channel.doubled else 1)
    return not told or within(sum(told) / len(told), hots * scale, _width(channel, gain, window, steps))


def _width(channel: ProofChannel, gain: float, window: Window, steps: Sequence[Stepped]) -> float:
    """How far a scale may be off: the watts of the load, and the noise of the clearest step."""
    clear = min((step.noise[channel.id] / (gain * abs(power)) for power, step in zip(window.signal, steps, strict=True)
                 if power), default=0.0)  # fmt: skip
    return max(step.share for step in steps) + 3 * clear


def within(value: float, wanted: float, width: float) -> bool:
    """Whether a value may be the wanted one."""
    return abs(value - wanted) <= width * wanted


def near(channel: ProofChannel, cause: Cause, window: Window, steps: Sequence[Stepped]) -> bool:
    """Whether a scale that is off is so little off that volts, heater or other loads may be behind it."""
    if cause.scale is None or not cause.scale_of:
        return False
    width = _width(channel, cause.scale * times_of(channel, window), window, steps)
    return within(cause.scale, 1, 2 * width)


def whole_undoubled(channel: ProofChannel, cause: Cause, window: Window, steps: Sequence[Stepped]) -> bool:
    """Whether it shows the whole load of both hots although nothing is doubled by the plan."""
    if cause.scale is None or not for_both(channel, window):
        return False
    return within(cause.scale, 1, _width(channel, cause.scale * 2, window, steps))


def unsure(channel: ProofChannel, cause: Cause, window: Window, steps: Sequence[Stepped]) -> bool:
    """Whether a scale taken as right could as well be double or half."""
    if cause.scale is None or cause.scale_of:
        return False
    width = _width(channel, cause.scale * times_of(channel, window), window, steps)
    return within(cause.scale, 2, width) or within(cause.scale, 0.5, width)
