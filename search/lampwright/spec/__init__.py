"""What the user asks for: the spec file, its words, its states and its findings."""
