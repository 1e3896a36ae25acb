"""The benchmark of the recognizer: ``python -m tests.benchmark --help``."""
