"""What a careful auto electrician would find out about a design."""
