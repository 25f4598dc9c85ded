"""One module for each topic of a result: what is said of it, as text and for the page."""
