"""A model's point list: points, intervals, conditions, mechanisms and lubricants."""
