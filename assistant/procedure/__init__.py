"""A device's cleaning procedure: its model, its YAML sheet, its quantities."""
