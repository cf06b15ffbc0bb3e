"""The design file and the records: read, checked, keyed, patched and saved."""
