"""Rules of the circuits stage, pure Python; each check is one module of `each`."""
