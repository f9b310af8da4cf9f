"""The network of transfer equipment: throws, interlocked breakers, what they exclude, control power and sensing."""

from __future__ import annotations

from deadfront.job.source_things import Transfer
from deadfront.topology.drawing_up import DrawingUp, has_throws
from deadfront.topology.network import TransferGroup
from deadfront.topology.panels_part import own_main


def draw_transfers(up: DrawingUp) -> None:
    """Every piece of transfer equipment."""
    for transfer in up.house.transfers:
        if has_throws(transfer):
            _throws(up, transfer)
        else:
            _interlock(up, transfer)
        _control(up, transfer)


def _interlock(up: DrawingUp, transfer: Transfer) -> None:
    """Breakers that are held apart; "service" is the main of the panel that the others are in."""
    homes = [up.panel_of(up.breakers[each]) for each in transfer.held_apart if each in up.breakers]
    main = own_main(up, next((home for home in homes if home), ""))
    throws = [main if each == "service" else each for each in transfer.held_apart]
    known = tuple(dict.fromkeys(each for each in throws if each in up.devices))
    excludes = transfer.excludes if len(known) == len(transfer.held_apart) else None
    up.groups.append(TransferGroup(transfer.id, known, excludes))


def _throws(up: DrawingUp, transfer: Transfer) -> None:
    ident = transfer.id
    normal, alternate, load = (up.place(f"transfer/{ident}/{side}", ident) for side in ("normal", "alternate", "load"))
    off = bool(transfer.off_position and transfer.lockable_off)
    automatic = transfer.kind != "manual switch" and transfer.kind != "interlock"
    for side, place, lockable in (
        ("normal", normal, transfer.lockable_normal), ("alternate", alternate, transfer.lockable_alternate),
    ):  # fmt: skip
        up.device(f"{ident}:{side}", "throw", place, load, True if off else lockable, ident, automatic, ident)
    excludes = False if transfer.kind == "isolation device" else transfer.excludes
    up.groups.append(TransferGroup(ident, (f"{ident}:normal", f"{ident}:alternate"), excludes, automatic))
    _normal(up, transfer, normal)
    on_a_path = {each for source in up.house.sources for each in (source.id, *source.disconnects)}
    for each in transfer.alternate:
        start = up.load_side(each)
        if start is None:
            up.not_known("alternate", each, alternate)
        elif each not in on_a_path:
            up.joined(f"alternate/{ident}/{each}", start, alternate)


def _normal(up: DrawingUp, transfer: Transfer, normal: str) -> None:
    """What feeds the normal side; a meter-mounted one stands ahead of the service disconnect and is drawn there."""
    if transfer.kind == "meter-mounted" and transfer.normal in (None, "service"):
        return
    start = "bus" if transfer.normal == "service" else up.load_side(transfer.normal or "")
    if start is None:
        up.not_known("transfer", transfer.id, normal)
    else:
        up.joined(f"normal/{transfer.id}", start, normal)


def _control(up: DrawingUp, transfer: Transfer) -> None:
    """Control power and sensing leads stay live in the enclosure as long as what they come from."""
    circuits = {each.id for each in up.house.circuits}
    by_itself = has_throws(transfer) and transfer.kind not in ("manual switch", "interlock")
    if by_itself and not transfer.control_feeds and transfer.no_control_feeds is not True:
        up.not_known("leads", transfer.id, up.place(f"control/{transfer.id}/leads", transfer.id))
    for each in transfer.control_feeds:
        start = "service" if each == "service" else f"end/{each}" if each in circuits else up.load_side(each)
        place = up.place(f"control/{transfer.id}/{each}", transfer.id)
        if start is None:
            up.not_known("control", each, place)  # named, but not there
        else:
            up.tie(f"control/{transfer.id}/{each}", start, place)
