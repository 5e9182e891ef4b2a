"""The front door to a shop: one module a noun, plain functions, one transaction an answer."""
