"""How far something reaches to the left and right at every height: what is put side by side stays apart."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from deadfront.documents.one_line.marks import Rect

STEP = 3.0  # height of a slice [pt]


@dataclass
class Profile:
    """The edges of something, slice by slice downward."""

    lefts: dict[int, float] = field(default_factory=dict)
    rights: dict[int, float] = field(default_factory=dict)

    def add(self, rect: Rect) -> None:
        """Take a rectangle in."""
        for slice_ in range(int(rect.top // STEP), int(rect.bottom // STEP) + 1):
            self.lefts[slice_] = min(self.lefts.get(slice_, rect.left), rect.left)
            self.rights[slice_] = max(self.rights.get(slice_, rect.right), rect.right)

    def take(self, other: Profile, dx: float, dy: float) -> None:
        """Take another in, moved; dy is rounded outward to whole slices."""
        low, high = int(dy // STEP), -int(-dy // STEP)
        for shift in {low, high}:
            for slice_, left in other.lefts.items():
                at = slice_ + shift
                self.lefts[at] = min(self.lefts.get(at, left + dx), left + dx)
                right = other.rights[slice_] + dx
                self.rights[at] = max(self.rights.get(at, right), right)

    def room(self, other: Profile, dy: float) -> float:
        """The least dx that puts another, moved down by dy, to the right of this one."""
        low, high = int(dy // STEP), -int(-dy // STEP)
        found = [
            self.rights[slice_ + shift] - left
            for shift in {low, high}
            for slice_, left in other.lefts.items()
            if slice_ + shift in self.rights
        ]
        return max(found, default=float("-inf"))


def profile_of(rects: Iterable[Rect]) -> Profile:
    """The edges of several rectangles."""
    made = Profile()
    for rect in rects:
        made.add(rect)
    return made
