"""Papers after the work: the commissioning record, the torque log, the installation, the re-inspection.

Comes in: a CommissioningResult, the house with its instruments, the job, photos.
Goes out: Sheets.
May import: every room above documents.
Start reading: together.py.
"""
