"""One-dimensional grids, fine where an edge makes the flow turn sharply."""

import numpy as np


def towards(low, high, finest, growth, from_low=True):
    """Breakpoints from `low` to `high`, growing by a factor from a finest step at one end."""
    steps = [finest]
    while sum(steps) < high - low:
        steps.append(steps[-1] * growth)
    places = np.concatenate([[0.0], np.cumsum(steps)])
    places *= (high - low) / places[-1]
    return low + places if from_low else (high - places)[::-1]


def between(low, high, finest, growth, at_low=True, at_high=True):
    """Breakpoints between two places, fine at the ends asked for."""
    if at_low and at_high:
        middle = 0.5 * (low + high)
        return np.concatenate([towards(low, middle, finest, growth),
                               towards(middle, high, finest, growth, False)[1:]])
    return towards(low, high, finest, growth, at_low)


def joined(*pieces):
    """Several lists of breakpoints, each starting where the one before it ends."""
    return np.concatenate([pieces[0], *(piece[1:] for piece in pieces[1:])])


def halved(breaks):
    """Breakpoints with the midpoints of a quadratic element between them."""
    nodes = np.empty(2 * len(breaks) - 1)
    nodes[::2] = breaks
    nodes[1::2] = 0.5 * (breaks[1:] + breaks[:-1])
    return nodes
