"""One module per stage: what that stage decides, as frozen sections of the design file."""
