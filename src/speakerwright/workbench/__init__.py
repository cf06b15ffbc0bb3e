"""The workbench: a face in the browser for one project folder on this machine."""
