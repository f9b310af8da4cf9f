"""Rules of the sources stage, pure Python; each check is one module of `each`."""
