"""The page on which a spec is asked, searched and its circuits operated: one more front door, above `app`."""
