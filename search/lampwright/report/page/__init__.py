"""The page that works offline: views and templates."""
