"""The durable record: chain, store, review."""
