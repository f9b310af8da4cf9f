"""Every rule module of `each`, found by looking into the folder, in the order of their names."""

from __future__ import annotations

from deadfront.sources.rules import each
from deadfront.sources.rules.facts import SourceFacts
from deadfront.worksheet.rule_modules import Registry

_RULES: Registry[SourceFacts] = Registry(each)
rule_modules, check_ids, all_checks = _RULES.rule_modules, _RULES.check_ids, _RULES.all_checks
