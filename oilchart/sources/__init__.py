"""Reading and keeping: point lists, the owner's words, settings and the shop book."""
