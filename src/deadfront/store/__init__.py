"""The library of jobs: every save a new revision, nothing overwritten; and what travels as a job file.

Comes in: a job's TOML text with its parsed form, photos and recordings as bytes, the time and new ids.
Goes out: revisions, histories, attachments, issued records, results of asked stages; errors that say what to do.
May import: all rooms above it down to documents; the database packages only once a library is opened.
Start reading: rows.py, then library.py; tables.py and engine.py; archive.py and photos.py for job files.
"""
