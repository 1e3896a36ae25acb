"""From sound to hypotheses: frames, endpoints, recognizers."""
