"""Pure arithmetic of the trade, each figure with its source."""
