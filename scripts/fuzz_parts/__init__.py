"""A longer fuzz run over every target of tests/support/fuzz_targets.py."""
