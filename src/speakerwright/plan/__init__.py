"""The plan: what the builder holds in hand."""
