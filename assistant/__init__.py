"""sinkside: voice-guided, hands-free, offline cleaning at the decontamination sink."""

__version__ = "0.1.0"
