"""The rules of metering, pure Python: the plan's checks in `each`, the proof by load steps in `steps`."""
