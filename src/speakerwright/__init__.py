"""From a brief to a published build plan, for independent loudspeaker makers."""

__version__ = "0.1.0"
