"""What a design is on the bench: its fuses and wires from the supply on, and what a meter reads on it."""
