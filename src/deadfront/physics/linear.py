"""Small dense linear equations with complex numbers: factored once, solved for many right-hand sides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from deadfront.errors import NoSolution

Matrix = list[list[complex]]
_NOTHING = 1e-13


@dataclass(frozen=True, slots=True)
class Factored:
    """A square matrix taken apart into a lower and an upper triangle, rows in the order `order`."""

    parts: tuple[tuple[complex, ...], ...]
    order: tuple[int, ...]

    def solve(self, right: Sequence[complex]) -> list[complex]:
        """The unknowns for one right-hand side, of as many entries as the matrix has rows."""
        size = len(self.order)
        found = [right[at] for at in self.order]
        for row in range(1, size):
            part = self.parts[row]
            found[row] -= sum((part[k] * found[k] for k in range(row)), 0j)
        for row in range(size - 1, -1, -1):
            part = self.parts[row]
            found[row] = (found[row] - sum((part[k] * found[k] for k in range(row + 1, size)), 0j)) / part[row]
        return found


def factored(matrix: Matrix) -> Factored:
    """A square matrix made ready for solving, by elimination with the largest pivot of each column.

    Raises:
        NoSolution: a row hangs in the air: some place is joined to nothing.
    Example:
        >>> factored([[2 + 0j, 1j], [1j, 2 + 0j]]).solve([1 + 0j, 0j])
        [(0.4+0j), -0.2j]
    """
    size = len(matrix)
    rows = [list(row) for row in matrix]
    order = list(range(size))
    largest = max((abs(each) for row in rows for each in row), default=0.0)
    for column in range(size):
        pivot = max(range(column, size), key=lambda row: abs(rows[row][column]))
        if abs(rows[pivot][column]) <= _NOTHING * largest:
            raise NoSolution("physics.nothing_holds_it", row=column)
        rows[column], rows[pivot] = rows[pivot], rows[column]
        order[column], order[pivot] = order[pivot], order[column]
        top = rows[column]
        for row in rows[column + 1 :]:
            if row[column]:
                share = row[column] = row[column] / top[column]
                for k in range(column + 1, size):
                    row[k] -= share * top[k]
    return Factored(tuple(tuple(row) for row in rows), tuple(order))


def inverse(matrix: Matrix) -> Matrix:
    """The inverse of a small square matrix.

    Raises:
        NoSolution: it has none.
    """
    ready, size = factored(matrix), len(matrix)
    columns = [ready.solve([1 + 0j if at == k else 0j for at in range(size)]) for k in range(size)]
    return [[columns[k][row] for k in range(size)] for row in range(size)]
