"""Pictures: charts as plain data, the colours they share, and their printing to SVG."""
