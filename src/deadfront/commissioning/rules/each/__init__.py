"""One module a test: TEST says what is read and where, `due` where it is to be done, `judge` what it comes to."""
