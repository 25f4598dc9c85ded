"""Operating points: from part models and boundary states to currents."""
