"""Service, grounding, joins and separate structures: houses by hand, by enumeration and by chance."""
