"""Times of whole columns: each distinct date, clock or stamp is read once, and remembered from batch to batch."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from deadfront.recordings import stamps
from deadfront.recordings.columns import NO_TIME, Places
from deadfront.recordings.csv_lines import one_time, settle
from deadfront.recordings.mapping import Mapping

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]

FIRST_S, LAST_S = 631_152_000, 4_133_980_800  # 1990 to 2101
REMEMBERED = 100_000
PLAIN_DATE = frozenset("0123456789/-.")
ANY_DAY = "2025-01-01"
ELSEWHERE = NO_TIME + 1  # the text is to be parted somewhere else


class _Memo(dict[str, int]):
    """What texts were read as."""

    def __init__(self, read: Callable[[str], int]) -> None:
        super().__init__()
        self._read = read

    def __missing__(self, word: str) -> int:
        if len(self) >= REMEMBERED:
            self.clear()
        found = self[word] = self._read(word)
        return found


class Words:
    """Texts of dates, clocks and stamps of one file, as numbers."""

    def __init__(self, mapping: Mapping) -> None:
        self._mapping = mapping
        self.days, self.seconds, self.offsets = _Memo(self._day), _Memo(clock_seconds), _Memo(self._offset)
        self.stamps = _Memo(lambda word: one_time(word, mapping))
        self.plain_days, self.times, self.behind = _Memo(self._plain_day), _Memo(self._time), _Memo(self._behind)

    def _day(self, word: str) -> int:
        found = stamps.read_date(stamps.split_stamp(word)[0], self._mapping.date_order)
        return NO_TIME if found is None else found * stamps.DAY_S

    def _offset(self, word: str) -> int:
        clock = stamps.read_clock(word)
        if clock is None:
            return NO_TIME
        settled = settle(0, clock.offset_s, self._mapping)
        return NO_TIME if settled == NO_TIME else -settled

    def _time(self, word: str) -> int:
        """Seconds that a clock adds to its day."""
        seconds, offset = self.seconds[word], self.offsets[word]
        return NO_TIME if seconds < 0 or offset == NO_TIME else seconds - offset

    def _plain_day(self, word: str) -> int:
        """A date of figures alone; ELSEWHERE where it is another text, which may be split elsewhere."""
        return self._day(word) if word and PLAIN_DATE.issuperset(word) else ELSEWHERE

    def _behind(self, word: str) -> int:
        """Seconds that the text behind a date adds to it; ELSEWHERE where it is no clock: the date may end there."""
        day, clock = stamps.split_stamp(ANY_DAY + word)
        return self.times[clock] if day == ANY_DAY else ELSEWHERE


def clock_seconds(word: str) -> int:
    """Seconds of a clock from midnight; -1 where it is none."""
    clock = stamps.read_clock(word)
    return -1 if clock is None else clock.seconds


def looked_up(column: Any, read: Callable[[str], int]) -> Ints:
    """A whole number for every text of a column; each distinct text is read once."""
    import numpy as np

    coded = column.dictionary_encode()
    table = np.array([read(word) for word in coded.dictionary.to_pylist()], dtype=np.int64)
    return table.take(np.asarray(coded.indices))


def times(text: Callable[[int], Any], mapping: Mapping, where: Places, words: Words) -> tuple[Ints, Ints]:
    """Times and lengths of rows from their stamps, or from a date and clocks."""
    import numpy as np

    if where.date >= 0:
        days, clocks = looked_up(text(where.date), words.days.__getitem__), text(where.clock)
        first = _together(days, looked_up(clocks, words.times.__getitem__))
        if where.clock_end < 0:
            return first, np.zeros(len(first), dtype=np.int64)
        begins = looked_up(clocks, words.seconds.__getitem__)
        ends = looked_up(text(where.clock_end), words.seconds.__getitem__)
        length = np.where((ends >= 0) & (begins >= 0), (ends - begins) % stamps.DAY_S, 0)
        return first, np.where(first == NO_TIME, 0, length)
    if where.start >= 0 and where.end >= 0:
        first, last = _stamped(text(where.start), mapping, words), _stamped(text(where.end), mapping, words)
        both = (first != NO_TIME) & (last != NO_TIME)
        return first, np.where(both, np.maximum(last - first, 0), 0)
    first = _stamped(text(where.start if where.start >= 0 else where.end), mapping, words)
    return first, np.zeros(len(first), dtype=np.int64)


def _together(days: Ints, seconds: Ints) -> Ints:
    import numpy as np

    bad = (days == NO_TIME) | (seconds == NO_TIME)
    return np.where(bad, NO_TIME, days + seconds) if bool(bad.any()) else days + seconds


def _stamped(column: Any, mapping: Mapping, words: Words) -> Ints:
    """Stamps of one column; where the date can be parted from the clock, both are read by their distinct texts."""
    import numpy as np
    import pyarrow as pa

    if pa.types.is_timestamp(column.type):
        seconds = column.cast(pa.int64())
        seconds = np.asarray(seconds.fill_null(NO_TIME) if seconds.null_count else seconds)
        if int(seconds.min()) >= FIRST_S and int(seconds.max()) < LAST_S:
            return seconds
        return np.where((seconds >= FIRST_S) & (seconds < LAST_S), seconds, NO_TIME)
    if mapping.stamp_form == "written":
        _, offsets, data = column.buffers()
        edges = np.frombuffer(offsets, dtype=np.int32)[column.offset : column.offset + len(column) + 1]
        letters = np.frombuffer(data, dtype=np.uint8)
        for part in (_of_one_shape, _by_spaces):
            if (found := part(column, letters, edges, words)) is not None:
                return found
    return looked_up(column, words.stamps.__getitem__)


def _parted(data: Any, edges: NDArray[np.int32], cuts: Any) -> tuple[Any, Any]:
    """Codes (n, 2) of what stands before and behind the cut of every stamp, and the texts they stand for."""
    import numpy as np
    import pyarrow as pa

    both = np.empty(2 * len(cuts) + 1, dtype=np.int32)
    both[0::2], both[1::2] = edges, cuts
    coded = pa.StringArray.from_buffers(2 * len(cuts), pa.py_buffer(both), data).dictionary_encode()
    return np.asarray(coded.indices).reshape(-1, 2), coded.dictionary.to_pylist()


def _of_one_shape(column: Any, letters: Any, edges: NDArray[np.int32], words: Words) -> Ints | None:
    """Plain ASCII stamps of one length split at one place."""
    import numpy as np

    count, length = len(column), int(edges[1] - edges[0])
    if not 8 < length <= stamps.MAX_LETTERS or not bool((np.diff(edges) == length).all()):
        return None
    first = column[0].as_py()
    day, clock = stamps.split_stamp(first)
    gap = first.find(clock, len(day))
    if not first.startswith(day) or gap <= len(day) or stamps.read_clock(clock) is None or first != first.strip():
        return None
    rows = letters[edges[0] : edges[-1]]
    between = rows.reshape(count, length)[:, len(day) : gap]
    if not bool((between == between[0]).all()) or not bool((rows < 128).all()):
        return None
    codes, texts = _parted(column.buffers()[2], edges, edges[:-1] + len(day))
    skip = gap - len(day)
    return _read_parts(codes, texts, words.days.__getitem__, lambda text: words.times[text[skip:]])


def _by_spaces(column: Any, letters: Any, edges: NDArray[np.int32], words: Words) -> Ints | None:
    """Stamps of any length: a date in figures, spaces, a clock."""
    import numpy as np

    rows = letters[edges[0] : edges[-1]]
    if not len(rows) or int(np.diff(edges).max()) > stamps.MAX_LETTERS or not bool((rows < 128).all()):
        return None
    spaces = np.flatnonzero(rows == 32).astype(np.int32) + edges[0]
    each = len(spaces) // len(column)
    if not each:
        return None
    if len(spaces) == each * len(column):
        grid = spaces.reshape(-1, each)
        cuts = grid[:, 0]
        if not bool((cuts >= edges[:-1]).all()) or not bool((grid[:, -1] < edges[1:]).all()):
            return None
    else:
        cuts = np.append(spaces, edges[-1])[np.searchsorted(spaces, edges[:-1])]
        if not bool((cuts < edges[1:]).all()):
            return None
    codes, texts = _parted(column.buffers()[2], edges, cuts)
    before, behind = np.zeros(len(texts), dtype=bool), np.zeros(len(texts), dtype=bool)
    before[codes[:, 0]] = behind[codes[:, 1]] = True
    pairs = zip(texts, before.tolist(), behind.tolist(), strict=True)
    for text, is_day, is_clock in pairs:
        if is_day and words.plain_days[text] == ELSEWHERE or is_clock and words.behind[text] == ELSEWHERE:
            return None
    return _read_parts(codes, texts, words.plain_days.__getitem__, words.behind.__getitem__)


def _read_parts(codes: Any, texts: list[str], day: Callable[[str], int], clock: Callable[[str], int]) -> Ints:
    import numpy as np

    days, clocks = np.full(len(texts), NO_TIME), np.full(len(texts), NO_TIME)
    for table, read, own in ((days, day, codes[:, 0]), (clocks, clock, codes[:, 1])):
        for at in np.flatnonzero(np.bincount(own, minlength=len(texts))).tolist():
            table[at] = read(texts[at])
    return _together(days.take(codes[:, 0]), clocks.take(codes[:, 1]))
