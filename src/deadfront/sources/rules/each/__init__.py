"""One module for each rule: `IDS`, the check ids it makes, and `checks(facts)`, which makes them.

Adding a rule is adding a module here, its words and its help page; nothing else knows its name.
"""
