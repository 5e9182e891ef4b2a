"""The shop: one module a noun, plain functions within one transaction of its book."""
