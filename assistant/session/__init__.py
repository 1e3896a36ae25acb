"""The pure core: commands in, events out, state folded, effects derived."""
