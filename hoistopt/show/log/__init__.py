"""A log judged against the recipes: words, tables, CSV of every stay, pictures, a page."""
