"""What may be in the window of a current transformer, told by which steps it shows and which it does not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from deadfront.metering.rules.step_signal import Stepped, phasor
from deadfront.results.proof import Conductor, ProofChannel, ProofPlan

Signature = frozenset[int]
"""Numbers of the steps in which something changes."""


@dataclass(frozen=True, slots=True)
class Window:
    """What is in a window.

    Args:
        kind: As in Cause.
        conductors: What is named in the verdict.
        base: Leg that its current is told against.
        signal: Power of its current at the volts of that leg, step by step [VA].
    """

    kind: str
    conductors: tuple[Conductor, ...]
    base: str
    signal: tuple[complex, ...]


@dataclass(frozen=True)
class Windows:
    """The steps that a channel was read in, and what could have shown them."""

    plan: ProofPlan
    steps: tuple[Stepped, ...]

    @cached_property
    def signatures(self) -> Mapping[Conductor, Signature]:
        """The steps that each conductor carried something of."""
        known = {each: frozenset[int]() for each in self.plan.paths}
        for number, step in enumerate(self.steps):
            for each, power in step.true.items():
                if power:
                    known[each] = known.get(each, frozenset()) | {number}
        return known

    @cached_property
    def by_signature(self) -> Mapping[Signature, tuple[Conductor, ...]]:
        """Conductors that cannot be told apart by which steps they carried."""
        found: dict[Signature, list[Conductor]] = {}
        for each, signature in self.signatures.items():
            found.setdefault(signature, []).append(each)
        return {signature: tuple(conductors) for signature, conductors in found.items()}

    def not_stepped(self) -> tuple[Conductor, ...]:
        """Conductors that no step moved."""
        return self.by_signature.get(frozenset(), ())

    def that_show(self, channel: ProofChannel, shown: Signature) -> Iterator[Window]:
        """Every window that changes in exactly these steps."""
        for each in self.by_signature.get(shown, ()):
            yield self._window("conductor", (each,), each.leg, ((each, 1.0),))
        own = channel.conductor
        if own is None:
            return
        for other in self._both_hots(own):
            for kind, sign in (("turned", -1.0), ("same way", 1.0)):
                window = self._window(kind, (own, other), own.leg, ((own, 1.0), (other, sign)))
                if self._changes(window) == shown:
                    yield window
        yield from self._with_other(own, shown)

    def _with_other(self, own: Conductor, shown: Signature) -> Iterator[Window]:
        """Its own conductor and one of another circuit; or, with a shared neutral, what that carries for the other."""
        rest = shown - self.signatures.get(own, frozenset())
        if rest and self.signatures.get(own, frozenset()) < shown:
            for other in self.by_signature.get(rest, ()):
                if other.of != own.of and self._is_branch(other):
                    for sign in (1.0, -1.0):
                        yield self._window("with other", (own, other), own.leg, ((own, 1.0), (other, sign)))
        partner = self.plan.partners.get(own.of)
        for other in self.by_signature.get(shown, ()):
            if partner is not None and other.of == partner:
                yield self._window("shared neutral", (own, other), own.leg, ((other, -1.0),))

    def _both_hots(self, own: Conductor) -> tuple[Conductor, ...]:
        """The other hots of the same circuit, feeder or source; never of the service, whose conductors lie apart."""
        if own.of == "service":
            return ()
        return tuple(each for each in self.plan.paths if each.of == own.of and each.leg != own.leg)

    def _is_branch(self, conductor: Conductor) -> bool:
        """Whether nothing else in the plan is fed through it."""
        return not any(conductor in path[1:] for path in self.plan.paths.values())

    def _window(
        self, kind: str, told: tuple[Conductor, ...], base: str, members: Sequence[tuple[Conductor, float]]
    ) -> Window:
        volts = phasor(base, wye=bool(self.plan.wye))
        signal = tuple(
            sum((sign * volts / phasor(each.leg, wye=bool(self.plan.wye)) * step.true.get(each, 0j)
                 for each, sign in members), 0j)
            for step in self.steps
        )  # fmt: skip
        return Window(kind, told, base, signal)

    def _changes(self, window: Window) -> Signature:
        return frozenset(number for number, (power, step) in enumerate(zip(window.signal, self.steps, strict=True))
                         if abs(power) > 1e-6 * step.size)  # fmt: skip
