"""The rules of commissioning: pure Python, no clock: a record is judged by its own date."""
