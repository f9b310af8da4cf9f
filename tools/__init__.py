"""Small maintenance scripts of the project; none of them is installed with it."""
