"""A file sent up, looked at once before it is kept on the tray."""

from __future__ import annotations

from pathlib import Path

from deadfront.app.recording_drafts import draft_of
from deadfront.errors import NotAllowed
from deadfront.web.desk import AtJob, shown_name


def take_up(at: AtJob, path: Path, name: str) -> None:
    """Put a file on the tray of a job, in the place of one that was there.

    Raises:
        NotAllowed: none was sent, or the job's last one is being read.
        RecordingUnreadable: there is nothing of a recording in it.
    """
    if not name or not path.stat().st_size:
        raise NotAllowed("web.recording.no_file_sent")
    run = at.web.runs.of(at.id)
    if run is not None and run.underway:
        raise NotAllowed("app.asked.busy", what=run.about)
    draft_of(at.web.desk.library, path)
    at.web.runs.put_away(at.id)
    at.web.tray.put(at.id, path, shown_name(name.replace("\\", "/").rpartition("/")[2]) or path.name)
