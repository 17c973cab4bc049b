"""One module a rule, named as the rule; imported as ``storylint.rules``."""
