"""The parts catalogue and the physics of one part: no source of its own, see each module."""
