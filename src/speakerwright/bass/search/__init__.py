"""Search for a bass: records, loadings, volumes, tunings, ports and filters against the brief."""
