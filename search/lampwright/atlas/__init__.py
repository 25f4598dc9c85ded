"""What circuits of a few lamps show, whatever is asked: all of them, solved in every setting."""
