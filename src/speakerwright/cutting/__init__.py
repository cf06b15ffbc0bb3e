"""Which sheets, tools and files cut the panels. Lengths here are in mm, unless a name says SI."""
